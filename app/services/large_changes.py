"""A change of the firm's book with very many edits: worked out in pieces, written at once, one change like any other.

Held against what is stored and made ready a piece at a time, the event loop going on in between, it is then written by
few statements in one transaction: all of it or, where the book was changed meanwhile, nothing.
"""

import asyncio
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import islice
from uuid import UUID

from app.db.repositories import record, things
from app.db.repositories.record import Mark
from app.domain.change import Change, Edit
from app.domain.codec import canonical_bytes, to_plain
from app.domain.errors import Refused
from app.services.changes import Applied, WorkedOut, recorded, stored_answer, taking_back, work_out
from app.services.jobs import Order
from app.services.office import Office

PIECE = 60  # edits at a time: some 10 ms

Heard = Callable[[int], None]  # how many edits are worked out


def _nobody(_done: int) -> None:
    """Nobody wants to hear how far it is."""


async def save_in_pieces(office: Office, edits: Iterable[Edit], order: Order, heard: Heard = _nobody) -> Applied:
    """Apply edits of the firm's things, each of another thing, as one change of the person at work.

    Raises: Refused when the book was changed meanwhile; else as `changes.apply`. Nothing is changed then.
    """
    change = Change(id=order.change_id, job_id=None, edits=(), who=office.who(), when=office.clock(), what=order.what)
    return await _in_pieces(office, change, edits, heard)


async def undo_in_pieces(office: Office, change_id: UUID, follows: UUID | None = None) -> Applied:
    """Take back this person's newest change of the firm, however large it was. Raises: as `changes.undo`."""
    with office.database.read() as connection:
        if (known := stored_answer(connection, change_id)) is not None:
            return known
        back = taking_back(connection, None, who=office.who(), change_id=change_id, when=office.clock())
    return await _in_pieces(office, replace(back, follows=follows), back.edits, _nobody)


async def _in_pieces(office: Office, change: Change, edits: Iterable[Edit], heard: Heard) -> Applied:
    with office.database.read() as connection:
        known, mark = stored_answer(connection, change.id), record.mark(connection, None)
    if known is not None:
        return known
    done: list[WorkedOut] = []
    bodies: list[bytes] = []
    count, left = 0, iter(edits)
    while piece := list(islice(left, PIECE)):
        worked = list(_worked_out(office, change, piece))
        done += worked
        bodies += [canonical_bytes(to_plain(one.edit)) for one in worked]
        count += len(piece)
        heard(count)
        await asyncio.sleep(0)
    return _written(office, change, done, (bodies, mark))


def _worked_out(office: Office, change: Change, piece: Iterable[Edit]) -> Iterator[WorkedOut]:
    with office.database.read() as connection:
        for edit in piece:
            one = work_out(connection, office.firm_id, change, edit)
            if one is not None:
                yield one


def _written(office: Office, change: Change, done: list[WorkedOut], ready: tuple[list[bytes], Mark | None]) -> Applied:
    bodies, mark = ready
    change = replace(change, edits=tuple(one.edit for one in done))
    body = record.body_of(change, bodies)
    with office.database.write() as connection:
        if record.mark(connection, None) != mark:
            raise Refused("The price book or the library was changed meanwhile. Nothing was changed; try it again.")
        things.write(connection, office.firm_id, (one.writing for one in done))
        applied = recorded(connection, office.firm_id, change, [one.version for one in done], body)
        now = record.mark(connection, None)
    office.wrote({(one.edit.kind, one.edit.thing_id): one.value for one in done}, mark, now)
    return applied
