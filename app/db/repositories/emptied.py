"""Entries of the record whose content was erased: the hashes of the chain stay, and a later entry vouches for each.

An entry's place in the chain rests on the hash of its content, not on the content: emptied, it keeps that hash. What it
holds now is no longer what was hashed, and that is only right where an entry of kind `erase` names it with both hashes.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

import msgspec
from sqlalchemy import ColumnElement, Connection, func, or_, select, update

from app.db.tables.office import RECORD, RECORD_EDIT
from app.domain.change import Change, Edit
from app.domain.codec import canonical_bytes, to_plain

ERASE = "erase"
ERASED = "Erased"
ENTRY = "entry"  # what the edits of such an entry are of


@dataclass(frozen=True, slots=True)
class Emptied:
    """An entry by its id: the hash that the chain holds of it, and the hash of what it holds now."""

    id: str
    was: str
    now: str


class _Hashes(msgspec.Struct):
    content: str


class _Named(msgspec.Struct):
    thing_id: str
    before: _Hashes
    after: _Hashes


class _Vouching(msgspec.Struct):
    edits: list[_Named]


def vouched_for(body: str) -> set[Emptied]:
    """The entries that an entry of kind `erase` vouches for."""
    edits = msgspec.json.decode(body, type=_Vouching).edits
    return {Emptied(one.thing_id, one.before.content, one.after.content) for one in edits}


def vouching_body(change: Change, emptied: Iterable[Emptied]) -> bytes:
    """What an entry of kind `erase` holds: the change, and which entries it vouches for."""
    edits = tuple(
        Edit(kind=ENTRY, thing_id=one.id, version=0, before={"content": one.was}, after={"content": one.now})
        for one in emptied
    )
    return canonical_bytes(to_plain(replace(change, edits=edits)))


def empty(connection: Connection, rows: Iterable[Any]) -> Iterator[Emptied]:
    """Erase the content of entries, with who made them; when, of which job and their hashes stay."""
    for row in rows:
        body = canonical_bytes(to_plain(_hollow(row)))
        now = sha256(body).hexdigest()
        values = {"body": body.decode(), "what": ERASED, "who": ""}
        connection.execute(update(RECORD).where(RECORD.c.seq == row.seq).values(**values))
        yield Emptied(row.id, row.content_hash, now)


def entries_about(
    connection: Connection, job_ids: Collection[str], client_id: str, also: Collection[str] = ()
) -> list[Any]:
    """Every entry about these jobs or this client that still has its content; `also`: others, by id."""
    of_client = select(RECORD_EDIT.c.seq).where(RECORD_EDIT.c.kind == "client", RECORD_EDIT.c.thing_id == client_id)
    about = or_(RECORD.c.job_id.in_(job_ids), RECORD.c.seq.in_(of_client), RECORD.c.id.in_(also))
    query = select(RECORD).where(about, *_WITH_CONTENT).order_by(RECORD.c.seq)
    return list(connection.execute(query))


_WITH_CONTENT: tuple[ColumnElement[bool], ...] = (
    or_(RECORD.c.what != ERASED, RECORD.c.who != ""),
    RECORD.c.kind != ERASE,
)


def how_many(connection: Connection) -> int:
    """How many entries were emptied."""
    query = select(func.count()).where(RECORD.c.what == ERASED, RECORD.c.who == "")
    return int(connection.execute(query).scalar_one())


def _hollow(row: Any) -> Change:
    """A change without anything in it, at the place of one that was erased."""
    return Change(
        id=UUID(row.id),
        job_id=UUID(row.job_id) if row.job_id else None,
        edits=(),
        who="",
        when=datetime.fromisoformat(row.at),
        what=ERASED,
        undoes=UUID(row.undoes) if row.undoes else None,
    )
