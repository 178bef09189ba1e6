"""What a price was before, from which list and when; and which proposals a change of prices hurts."""

import asyncio
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from app.db.files import FileStore
from app.db.repositories import record, revisions
from app.db.repositories.revisions import Revision
from app.db.repositories.things import value_of
from app.domain.basis import Basis, Price
from app.domain.change import Change, Edit
from app.domain.costing.estimate import estimate
from app.domain.errors import NotFound
from app.domain.job import Job, Stage
from app.domain.takeoff.stocked import stocked, with_plants
from app.interchange.job_file import read_job_file
from app.interchange.trimming import trimmed
from app.services import home, jobs
from app.services.changes import fields_of
from app.services.office import Office

MOST = 60  # entries of a price's history
OPEN = {Stage.LEAD, Stage.DESIGN, Stage.OFFERED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Was:
    """One entry about a price: when, by whom, in which change, what it was and became."""

    at: str  # ISO, UTC
    who: str
    what: str
    before: Decimal | None
    after: Decimal | None
    undone: bool
    change_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hurt:
    """A job whose price moves [cents]: a draft, or a proposal that was offered and not signed."""

    job_id: UUID
    title: str
    offered: Revision | None
    before: int
    after: int

    @property
    def by(self) -> int:
        """How far it moves."""
        return self.after - self.before


def price_history(office: Office, key: str) -> tuple[str, Sequence[Was]]:
    """The name of a material and what its price was, the newest first. Raises: NotFound."""
    material = office.basis().materials.get(key)
    if material is None:
        raise NotFound("The price book has no such material (any more).")
    with office.database.read() as connection:
        found = record.of_thing(connection, office.firm_id, "price", key, limit=MOST)
        undone = record.taken_back(connection, [entry.id for entry, _ in found])
    return material.title, [_was(entry, edit, entry.id in undone) for entry, edit in found]


def _was(entry: record.Entry, edit: Edit, undone: bool) -> Was:
    return Was(
        at=entry.at,
        who=entry.who,
        what=f"Taken back: {entry.what}" if entry.undoes else entry.what,
        before=_price_in(edit.before),
        after=_price_in(edit.after),
        undone=undone,
        change_id=entry.id,
    )


def _price_in(fields: Mapping[str, Any] | None) -> Decimal | None:
    return Decimal(fields["unit_price"]) if fields and fields.get("unit_price") is not None else None


def change_of_prices(office: Office, change_id: UUID) -> Change:
    """A change of the price book by its id. Raises: NotFound."""
    with office.database.read() as connection:
        entry = record.find(connection, str(change_id))
    if entry is None or entry.kind != "change" or entry.change().job_id is not None:
        raise NotFound("There is no such change of the price book.")
    return entry.change()


async def hurt_by(office: Office, change: Change) -> list[Hurt]:
    """Offered proposals and drafts whose price a change of prices moves, the offered first, the furthest first."""
    now = office.basis()
    keys = {edit.thing_id for edit in change.edits if edit.kind == "price"}
    before = replace(now, prices=_prices_before(now, change))
    found: list[Hurt] = []
    for one in _offered(office):
        found += _offered_hurt(office, one, keys, now)
        await asyncio.sleep(0)  # whoever else asks is answered in between
    for line in home.every_job(office):
        if Stage(line.stage) in OPEN:
            found += _draft_hurt(office, UUID(line.job_id), keys, before)
            await asyncio.sleep(0)
    return sorted(found, key=lambda one: (one.offered is None, -abs(one.by), one.title))


def _prices_before(now: Basis, change: Change) -> dict[str, Price]:
    """The prices of now with what this change did taken back."""
    prices = dict(now.prices)
    for edit in change.edits:
        if edit.kind != "price":
            continue
        if edit.before is None:
            prices.pop(edit.thing_id, None)
        elif edit.thing_id in prices:
            known = fields_of(prices[edit.thing_id], "price")
            prices[edit.thing_id] = value_of("price", edit.thing_id, {**known, **edit.before})
    return prices


def _offered(office: Office) -> list[Revision]:
    with office.database.read() as connection:
        return revisions.offered_proposals(connection, office.firm_id)


def _offered_hurt(office: Office, one: Revision, keys: Collection[str], now: Basis) -> list[Hurt]:
    """An offer on the prices it was made with, against the same job on the new ones."""
    kept = read_job_file(FileStore(office.settings.files).read(one.files["job"]))
    keys = with_plants(keys, now, kept.job)
    prices = stocked(now, kept.job).prices
    new = {key: prices[key] for key in keys if key in kept.basis.prices and key in prices}
    if not new:
        return []
    on_new = replace(kept.basis, prices={**kept.basis.prices, **new})
    return _moved(kept.job, kept.basis, on_new, one)


def _draft_hurt(office: Office, job_id: UUID, keys: Collection[str], before: Basis) -> list[Hurt]:
    """A draft that follows the live book; one that stands on prices of its own is not moved."""
    opened = jobs.open_job(office, job_id)
    keys = with_plants(keys, office.basis(), opened.job)
    if opened.book is not office.basis() or not keys & trimmed(opened.basis, opened.job).prices.keys():
        return []
    return _moved(opened.job, stocked(before, opened.job), opened.basis, None)


def _moved(job: Job, before: Basis, after: Basis, offered: Revision | None) -> list[Hurt]:
    was, becomes = estimate(job, before).price_cents, estimate(job, after).price_cents
    if was == becomes:
        return []
    return [Hurt(job_id=job.head.id, title=title_of(job), offered=offered, before=was, after=becomes)]


def title_of(job: Job) -> str:
    """A job in a list: its client and what it is."""
    return f"{job.client.name}, {job.head.title}".strip(", ")
