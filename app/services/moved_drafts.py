"""Open drafts whose price a change of the firm's own tasks or materials would move."""

import asyncio
from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Basis
from app.domain.costing.estimate import estimate
from app.domain.job import Stage
from app.domain.takeoff.stocked import stocked
from app.interchange.trimming import trimmed
from app.services import home, jobs
from app.services.office import BASIS_FIELDS, Office
from app.services.price_history import OPEN, title_of


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedDraft:
    """A draft whose price is moved [cents]."""

    job_id: UUID
    title: str
    before: int
    after: int

    @property
    def by(self) -> int:
        """How far it moves."""
        return self.after - self.before


async def moved_drafts(office: Office, after: Basis, kind: str, keys: Collection[str]) -> list[MovedDraft]:
    """Drafts whose price moves once the book becomes `after`, the furthest first; `keys` of `kind` are other there.

    Others are answered between two jobs.
    """
    now = office.basis()
    found: list[MovedDraft] = []
    for line in home.every_job(office):
        if Stage(line.stage) in OPEN:
            found += _moved(office, UUID(line.job_id), (now, after), kind, keys)
            await asyncio.sleep(0)
    return sorted(found, key=lambda one: (-abs(one.by), one.title))


def _moved(
    office: Office, job_id: UUID, books: tuple[Basis, Basis], kind: str, keys: Collection[str]
) -> list[MovedDraft]:
    """A draft that follows the live book and has one of these; one on prices of its own is not moved."""
    now, after = books
    opened = jobs.open_job(office, job_id)
    used = getattr(trimmed(now, opened.job), BASIS_FIELDS[kind])
    if opened.book is not now or not set(keys) & used.keys():
        return []
    was = estimate(opened.job, opened.basis).price_cents
    becomes = estimate(opened.job, stocked(after, opened.job)).price_cents
    if was == becomes:
        return []
    return [MovedDraft(job_id=job_id, title=title_of(opened.job), before=was, after=becomes)]
