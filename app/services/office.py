"""The firm at work: opening the database, the firm itself, the library and the price book it goes by."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from time import monotonic
from typing import Any, Protocol
from uuid import UUID, uuid4

from app.config import Settings
from app.db.migrate import migrate
from app.db.repositories import record, things
from app.db.session import Database
from app.db.tables.things import FIRM_THINGS
from app.domain.basis import Basis, Firm
from app.domain.change import Change, Edit
from app.interchange.library_file import Caution
from app.services import changes

FRESH = 0.02  # seconds for which the basis is not looked at again: what another process writes is seen after them

BASIS_FIELDS: Mapping[str, str] = {
    "assembly": "assemblies",
    "material": "materials",
    "task": "tasks",
    "price": "prices",
    "supplier": "suppliers",
    "labor_class": "labor_classes",
    "rule": "rules",
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
    _basis: tuple[int, Basis] | None = field(default=None, repr=False)
    _looked: tuple[int, float] = field(default=(-1, 0.0), repr=False)

    def basis(self) -> Basis:
        """The live basis: the shipped library with the firm's own book and settings laid over it.

        One request asks for it several times: after this process wrote nothing, it is looked at again after `FRESH`.
        """
        now, written = monotonic(), self.database.written
        if self._basis is not None and self._looked[0] == written and now - self._looked[1] < FRESH:
            return self._basis[1]
        self._looked = (written, now)
        with self.database.read() as connection:
            count = record.counter(connection, f"firm:{self.firm_id}")
            if self._basis is None or self._basis[0] != count:
                own = {kind: things.read_things(connection, self.firm_id, kind) for kind in FIRM_THINGS}
                self._basis = (count, laid_over(self.shipped, own))
        return self._basis[1]

    def firm(self) -> Firm:
        """The firm's settings."""
        return self.basis().firm

    def who(self) -> str:
        """Who sits at this machine: the owner, until devices are paired."""
        return self.firm().owner or "the owner"


def open_office(
    settings: Settings, shipped: Basis, clock: Clock = utc_now, cautions: Mapping[str, Caution] | None = None
) -> Office:
    """Open (or begin) the data folder: migrate, and make the firm's row when there is none."""
    database = Database(settings.database)
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
    return Office(
        settings=settings,
        database=database,
        firm_id=firm_id,
        shipped=shipped,
        clock=clock,
        cautions=cautions or {},
        epoch=epoch,
    )


def laid_over(shipped: Basis, own: Mapping[str, list[things.Row]]) -> Basis:
    """The shipped library with a firm's own things laid over it, by kind."""
    firm = own["firm"][0].value() if own["firm"] else shipped.firm
    laid: dict[str, Any] = {
        name: {**getattr(shipped, name), **{row.thing_id: row.value() for row in own[kind]}}
        for kind, name in BASIS_FIELDS.items()
    }
    return Basis(firm=firm, **laid)


def as_id(text: str) -> UUID:
    """A thing's id from an address; raises ValueError for what is none."""
    return UUID(text)
