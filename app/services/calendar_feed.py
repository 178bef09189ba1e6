"""The firm's calendar feed: one address that only who was given it knows, for the days of every job under way.

Of the address nothing but the hash of its token is kept, in `keys/feed.json` of the data folder: it is in no backup, so
that restoring one never brings an address back that was switched off.
"""

import asyncio
import hmac
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from uuid import UUID

import msgspec
from sqlalchemy import Connection

from app.db.key_folder import KeyFolder
from app.db.repositories import devices as rows
from app.db.repositories import record
from app.domain.change import Change
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.pairing import PER_ADDRESS
from app.interchange.calendar_out import CalendarDay, calendar_file
from app.services.authority import KEYS
from app.services.devices import hashed
from app.services.erasing import UNDER_WAY
from app.services.home import every_job
from app.services.jobs import Order
from app.services.office import Office
from app.services.pairing import mind_limits, place_of
from app.services.scheduling import calendar_days
from app.services.sheets import sheet
from app.services.warranty import calendar_visits

KEPT = "feed.json"
SECRET = "feed"  # noqa: S105 - of what a wrong try was one, not a secret itself
NAME = "Jobs under way"
REFRESH = timedelta(hours=1)
NOTHING = "There is nothing here."


class Kept(msgspec.Struct):
    """What is kept of the feed's address."""

    hash: str
    since: str  # ISO, UTC


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """The feed as it is handed out. `tag` is the same for the same days; `changed` is when they were first seen so."""

    content: bytes
    tag: str
    changed: datetime  # UTC, whole seconds


def since(office: Office) -> datetime | None:
    """Since when the address of today is good; None while the feed is off."""
    kept = _kept(office)
    return datetime.fromisoformat(kept.since) if kept else None


def make_address(office: Office, order: Order) -> str:
    """Switch the feed on with a new token, 256 bits, which is returned once; the one before is good no more.

    The same order again (a second tap) is answered with the same token while the program runs.

    Raises: Refused when it cannot be said again, or when the disk does not take it.
    """
    memory = office.database.memory
    with office.database.write() as connection:
        if record.find(connection, str(order.change_id)) is not None:
            made: tuple[UUID, str] | None = memory.get("feed made")
            if made is None or made[0] != order.change_id:
                raise Refused("That address was made already, and is shown only once. Make it anew.")
            return made[1]
        again, token = _kept(office) is not None, secrets.token_urlsafe(32)
        _on_record(office, connection, order, "Calendar feed: address made anew" if again else "Calendar feed: on")
        kept = Kept(hash=hashed(token), since=office.clock().astimezone(UTC).isoformat())
        _folder(office).write(KEPT, msgspec.json.encode(kept))
    memory["feed made"] = (order.change_id, token)
    return token


def switch_off(office: Office, order: Order) -> None:
    """No address is good any more."""
    with office.database.write() as connection:
        if _kept(office) is not None:
            _on_record(office, connection, order, "Calendar feed: off")
            _folder(office).place(KEPT).unlink(missing_ok=True)
    office.database.memory.pop("feed made", None)


def let_read(office: Office, token: str, address: str) -> None:
    """Whether who asks knows the address of today.

    Wrong ones are counted by where they come from, and only so: who guesses keeps nobody else from their calendar.

    Raises: NotFound, the same for one that never was, an earlier one, and while the feed is off; TooManyTries.
    """
    now = office.clock()
    with office.database.read() as connection:
        mind_limits(office, connection, SECRET, address, now, own=PER_ADDRESS, overall=None)
    kept = _kept(office)
    if kept is None or not hmac.compare_digest(hashed(token), kept.hash):
        with office.database.write() as connection:
            rows.note_wrong(connection, office.firm_id, SECRET, place_of(address), now)
        raise NotFound(NOTHING)


async def feed(office: Office) -> Feed:
    """The days of every job that is signed or being built, and visits after hand-over. No client, no money."""
    days: list[CalendarDay] = []
    for line in every_job(office):
        if line.stage in UNDER_WAY:
            days += _days_of(office, UUID(line.job_id))
            await asyncio.sleep(0)  # others are answered between two jobs
    days += calendar_visits(office)
    tag = sha256(repr((NAME, REFRESH, days)).encode()).hexdigest()[:32]
    changed = _first_seen(office, tag)
    return Feed(content=calendar_file(days, name=NAME, made=changed, refresh=REFRESH), tag=tag, changed=changed)


def _days_of(office: Office, job_id: UUID) -> Sequence[CalendarDay]:
    view = sheet(office, job_id)
    head = view.job.head
    try:
        return calendar_days(
            office, view, name=f"{head.town} {head.number}".strip() if head.town else f"Job {head.number}"
        )
    except BadValue:
        return ()  # its activities wait for one another: its own page says so


def _first_seen(office: Office, tag: str) -> datetime:
    memory = office.database.memory
    known: tuple[str, datetime] | None = memory.get("feed seen")
    if known is None or known[0] != tag:
        known = memory["feed seen"] = (tag, office.clock().astimezone(UTC).replace(microsecond=0))
    return known[1]


def _kept(office: Office) -> Kept | None:
    held = _folder(office).read(KEPT)
    try:
        return msgspec.json.decode(held, type=Kept) if held else None
    except msgspec.DecodeError:
        return None  # torn: no address is good


def _folder(office: Office) -> KeyFolder:
    return KeyFolder(office.settings.data / KEYS)


def _on_record(office: Office, connection: Connection, order: Order, what: str) -> None:
    entry = Change(id=order.change_id, job_id=None, edits=(), who=office.who(), when=office.clock(), what=what)
    record.append(connection, firm_id=office.firm_id, kind="feed", change=entry, answer={})
