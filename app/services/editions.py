"""Newer editions of a job's recipes: offered with the price they would make, taken only when somebody takes them."""

from dataclasses import dataclass, replace
from uuid import UUID

from app.domain.costing.estimate import estimate
from app.domain.errors import NotFound
from app.services import jobs
from app.services.changes import Applied
from app.services.held_editions import hash_in, named_editions
from app.services.jobs import OpenJob, Order, changed
from app.services.office import Office


@dataclass(frozen=True, slots=True, kw_only=True)
class NewerEdition:
    """A recipe whose edition in the library is not the job's. `difference` [cents] in the job's price.

    None where the job's own edition is not kept on this machine: the job then already stands on the library's.
    """

    key: str
    title: str
    difference: int | None
    places: int

    @property
    def fall(self) -> int:
        """What the price would fall by [cents]; 0 where it would not."""
        return max(0, -(self.difference or 0))


def newer_editions(office: Office, opened: OpenJob) -> tuple[NewerEdition, ...]:
    """The recipes of a job that the library now has in another edition, by title."""
    live, job = office.basis(), opened.job
    if job.head.basis_file:
        return ()  # it stands on the basis it came with, until the owner chooses his own prices
    found = []
    for key, name in named_editions(job.works).items():
        newer = hash_in(office, live, key)
        if not newer or newer == name:
            continue
        kept = hash_in(office, opened.basis, key) == name
        found.append(
            NewerEdition(
                key=key,
                title=live.assemblies[key].title,
                difference=_difference(opened, office, key) if kept else None,
                places=sum(work.assembly == key for work in job.works),
            )
        )
    return tuple(sorted(found, key=lambda one: one.title))


def _difference(opened: OpenJob, office: Office, key: str) -> int:
    newer = {**opened.basis.assemblies, key: office.basis().assemblies[key]}
    after = estimate(opened.job, replace(opened.basis, assemblies=newer))
    return after.price_cents - estimate(opened.job, opened.basis).price_cents


def take_newer(office: Office, job_id: UUID, key: str, order: Order) -> Applied:
    """Take the library's edition of a recipe for every work of the job that uses it, in one change.

    Raises: NotFound where the job has no such recipe, or the library none.
    """
    opened = jobs.open_job(office, job_id)
    newer = hash_in(office, office.basis(), key)
    works = [work for work in opened.job.works if work.assembly == key]
    if not works or not newer:
        raise NotFound("This recipe is not in the job, or not in the library (any more). Nothing was changed.")
    edits = tuple(changed("work", work.id, opened.version("work", work.id), {"assembly_hash": newer}) for work in works)
    title = office.basis().assemblies[key].title
    return jobs.save(office, job_id, edits, replace(order, what=f"Newer edition: {title}"))
