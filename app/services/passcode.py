"""The passcode that turns a device back to ours: set by the owner, kept as a slow hash, tries limited."""

import hmac
import logging
import secrets
from datetime import timedelta

from sqlalchemy import Connection

from app.db.repositories import devices as rows
from app.db.repositories import record
from app.domain.change import Change
from app.domain.errors import BadValue, Refused
from app.domain.pairing import Limit
from app.services.jobs import Order
from app.services.office import Office
from app.services.pairing import mind_limits
from app.worker.running import run_in_worker

log = logging.getLogger("outlay")
PASSCODE = "passcode"
LEAST, MOST = 6, 64  # characters
PER_DEVICE = Limit(5, timedelta(minutes=15))
EASY = ("123456", "654321", "abcdef", "qwerty", "passcode", "password")


def is_set(office: Office) -> bool:
    """Whether there is a passcode."""
    with office.database.read() as connection:
        return rows.passcode(connection, office.firm_id) is not None


async def set_passcode(office: Office, typed: str, again: str, order: Order) -> None:
    """Set the passcode, or another one.

    Raises: BadValue beside the field, where it is too short, too easy, or not typed twice alike.
    """
    if not LEAST <= len(typed) <= MOST:
        raise BadValue(f"A passcode has {LEAST} to {MOST} characters; this has {len(typed)}.", field="new")
    if len(set(typed)) < 3 or any(typed.casefold() in easy or easy in typed.casefold() for easy in EASY):
        raise BadValue("That is among the first anybody would try. Choose another one.", field="new")
    if typed != again:
        raise BadValue("The two do not agree. Type the same passcode twice.", field="again")
    salt = secrets.token_bytes(16)
    made = await run_in_worker(PASSCODE, [typed.encode(), salt])
    with office.database.write() as connection:
        if record.find(connection, str(order.change_id)) is None:
            rows.set_passcode(connection, office.firm_id, salt.hex(), made.hex(), office.clock())
            _on_record(office, connection, order, "Passcode set")


def take_away(office: Office, order: Order) -> None:
    """No passcode any more: a device of ours that was handed over comes back with one tap; any other stays as it is."""
    with office.database.write() as connection:
        if rows.passcode(connection, office.firm_id) is not None:
            rows.drop_passcode(connection, office.firm_id)
            _on_record(office, connection, order, "Passcode taken away")


async def prove(office: Office, typed: str, place: str, *, here: bool, field: str = PASSCODE) -> None:
    """Ask again before something that guards the door; on the machine itself (`here`) only where there is a passcode.

    Raises: as `check`; Refused on another device while none is set.
    """
    if is_set(office):
        await check(office, typed, place, field=field)
    elif not here:
        raise Refused(
            "From another device this is done with the passcode, and none is set. Set one on the laptop, under Firm, "
            "Devices, or do it there. Nothing was changed."
        )


async def check(office: Office, typed: str, place: str, *, field: str = PASSCODE) -> None:
    """Raises: BadValue beside the field for a wrong one; TooManyTries; Refused where none is set.

    A try counts as wrong until it has proved right, so that many at once are no way around the limit.
    """
    if not typed:
        raise BadValue("Type the passcode.", field=field)
    now = office.clock()
    with office.database.write() as connection:
        kept = rows.passcode(connection, office.firm_id)
        if kept is None:
            raise Refused("No passcode is set. It is set at the office, under Firm, Devices.")
        mind_limits(office, connection, PASSCODE, place, now, own=PER_DEVICE)
        noted = rows.note_wrong(connection, office.firm_id, PASSCODE, place, now)
    made = await run_in_worker(PASSCODE, [typed[:MOST].encode(), bytes.fromhex(kept.salt)])
    if not hmac.compare_digest(made.hex(), kept.hash):
        log.warning("wrong passcode", extra={"device": place})
        raise BadValue("That is not the passcode.", field=field)
    with office.database.write() as connection:
        rows.forget_wrong(connection, noted)


def _on_record(office: Office, connection: Connection, order: Order, what: str) -> None:
    entry = Change(id=order.change_id, job_id=None, edits=(), who=office.who(), when=office.clock(), what=what)
    record.append(connection, firm_id=office.firm_id, kind="passcode", change=entry, answer={})
