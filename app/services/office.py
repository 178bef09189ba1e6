"""The firm at work: opening the database, the firm itself, the library and the price book it goes by."""

from collections.abc import Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from typing import Any, Protocol
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from app.config import Settings
from app.db.migrate import migrate
from app.db.repositories import addresses, record, things
from app.db.repositories.book_rows import BookRows, Own, book_after, read_book
from app.db.repositories.record import Mark, Since
from app.db.repositories.record_log import AsOf, RecordLog
from app.db.session import Database, DatabaseBroken, Moment, Standing, database_of
from app.domain.basis import Basis, Firm
from app.domain.change import Change, Edit
from app.interchange.library_file import Caution
from app.services import changes
from app.services.restoring import broken_off

BASIS_FIELDS: Mapping[str, str] = {
    "assembly": "assemblies",
    "material": "materials",
    "task": "tasks",
    "price": "prices",
    "supplier": "suppliers",
    "labor_class": "labor_classes",
    "rule": "rules",
    "reminder": "reminders",
    "subcontractor": "subcontractors",
    "plant": "plants",
}


class Clock(Protocol):
    """Says what time it is, in UTC."""

    def __call__(self) -> datetime:
        """Now."""


def utc_now() -> datetime:
    """The machine's clock."""
    return datetime.now(UTC)


@dataclass(slots=True)
class Office:
    """What every service needs: the database, the firm's id, the shipped library, the clock, the words of cautions."""

    settings: Settings
    database: Database
    firm_id: str
    shipped: Basis
    clock: Clock = utc_now
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    epoch: int = 0  # of the database: a restore, never done while this is open, begins a new one
    _book: BookRows | None = field(default=None, repr=False)
    _basis: Basis | None = field(default=None, repr=False)
    _looked: Moment | None = field(default=None, repr=False)
    _stood: Standing | None = field(default=None, repr=False)  # as the database stood when it was looked at last
    _log: RecordLog = field(default_factory=RecordLog, repr=False)
    _as_of: AsOf | None = field(default=None, repr=False)  # of the live basis

    def today(self) -> date:
        """Today where the firm is: in the evening of New York it is tomorrow already by the clock of the record."""
        return self.clock().astimezone(ZoneInfo(self.firm().time_zone)).date()

    def basis(self) -> Basis:
        """The live basis: the shipped library with the firm's own book and settings laid over it."""
        if self._basis is not None and self.is_current():
            return self._basis
        with self.database.read() as connection:
            return self.basis_in(connection)

    def basis_in(self, connection: Connection) -> Basis:
        """The live basis as a transaction sees it."""
        if self._basis is not None and self.has_looked:
            return self._basis
        stood = self.database.stands_in(connection)
        as_of, known = self._log.look(connection), self._book
        since = self._log.since(self._as_of, known.mark, None) if known and known.mark and self._as_of else None
        book = read_book(connection, self.firm_id, known, since)
        if self._basis is None or known is None or book.own is not known.own:
            self._basis = laid_over(self.shipped, book.own, self._basis, known.own if known else {})
        self._book, self._as_of, self._looked, self._stood = book, as_of, self.database.moment, stood
        return self._basis

    def is_current(self) -> bool:
        """Whether the live basis is as the database has it: it was looked at in this moment, or nobody wrote since."""
        if self._stood is not None and not self.has_looked and self.database.stands() == self._stood:
            self._looked = self.database.moment
            return True
        return self.has_looked

    @property
    def has_looked(self) -> bool:
        """Whether the database was looked at in this moment."""
        return self._basis is not None and self.database.is_now(self._looked)

    @property
    def as_of(self) -> AsOf:
        """The newest entry of the record when the live basis was looked at last: what is read with it is as of that."""
        return self._as_of or AsOf(0, 0)

    def since(self, read: AsOf, known: Mark | None, job_id: str, client_id: str) -> Since | None:
        """What was edited of a job after it was read; None where that is not known."""
        return self._log.since(read, known, job_id, client_id) if known else None

    @property
    def newest(self) -> int:
        """Number of the newest entry of the record about the firm, when the live basis was looked at last."""
        return self._book.mark.seq if self._book and self._book.mark else 0

    def wrote(self, edited: Mapping[tuple[str, str], Any], before: Mark | None, now: Mark | None) -> None:
        """Take in what was just written of the book, by kind and key (None: gone), if it was known up to `before`."""
        if self._book is not None and self._basis is not None and self._book.mark == before:
            book = book_after(self._book, edited, now)
            self._basis = laid_over(self.shipped, book.own, self._basis, self._book.own)
            with self.database.read() as connection:
                self._as_of = self._log.look(connection)
            self._book, self._looked, self._stood = book, None, None

    def firm(self) -> Firm:
        """The firm's settings."""
        return self.basis().firm

    def who(self) -> str:
        """Who is at work: the device that asks, by its name; at this machine, the owner."""
        return who_of(self.firm())


_DEVICE_AT_WORK: ContextVar[str] = ContextVar("device at work", default="")  # by name; of the request that is answered


def work_as(device: str) -> None:
    """From here on, until the request is answered, a device of this name is at work; "" is this machine."""
    _DEVICE_AT_WORK.set(device)


def who_of(firm: Firm) -> str:
    """Who is at work: the device that asks, by its name; at this machine, the firm's owner."""
    return _DEVICE_AT_WORK.get() or firm.owner or "the owner"


def open_office(
    settings: Settings, shipped: Basis, clock: Clock = utc_now, cautions: Mapping[str, Caution] | None = None
) -> Office:
    """Open (or begin) the data folder: migrate, and make the firm's row when there is none."""
    if said := broken_off(settings):
        raise DatabaseBroken(said)
    database = database_of(settings)
    migrate(database, settings.migrations)
    with database.read() as connection:
        known = things.any_firm(connection)
        epoch = record.epoch(connection)
    firm_id = known or str(uuid4())
    if known is None:
        begin = Change(
            id=uuid4(),
            job_id=None,
            who="the owner",
            when=clock(),
            what="The firm",
            edits=(
                Edit(
                    kind="firm", thing_id=firm_id, version=0, before=None, after=changes.fields_of(shipped.firm, "firm")
                ),
            ),
        )
        changes.apply(database, firm_id, begin)
    _index_addresses(database, firm_id)
    return Office(
        settings=settings,
        database=database,
        firm_id=firm_id,
        shipped=shipped,
        clock=clock,
        cautions=cautions or {},
        epoch=epoch,
    )


def _index_addresses(database: Database, firm_id: str) -> None:
    """A database of an older release has no index of addresses yet."""
    with database.read() as connection:
        whole = addresses.is_whole(connection, firm_id)
    if not whole:
        with database.write() as connection:
            addresses.build(connection, firm_id)


def laid_over(shipped: Basis, own: Own, before: Basis | None = None, own_before: Own | None = None) -> Basis:
    """The shipped library with a firm's own things laid over it, by kind and key.

    `before` is what `own_before` gave: a kind nothing was done to is taken from there, so that it stays the same.
    """
    firm = next(iter(own["firm"].values()), shipped.firm)
    laid: dict[str, Any] = {
        name: getattr(before, name)
        if before and own_before and own_before.get(kind) is own[kind]
        else {**getattr(shipped, name), **own[kind]}
        for kind, name in BASIS_FIELDS.items()
    }
    return replace(shipped, firm=firm, **laid)


def as_id(text: str) -> UUID:
    """A thing's id from an address; raises ValueError for what is none."""
    return UUID(text)
