"""Newer editions of a job's recipes: offered with the price they would make, taken only when somebody takes them.

An edition is a recipe with all that it includes. A job has one edition of each recipe, so taking a newer one also moves
the recipes that include the same: the price shown is that of the whole job.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from app.domain.basis import Assembly, Basis
from app.domain.costing.estimate import estimate
from app.domain.errors import NotFound
from app.domain.takeoff.included import with_included
from app.services import jobs
from app.services.changes import Applied
from app.services.held_editions import keep, kept_edition, name_in, named_editions, same_in
from app.services.jobs import OpenJob, Order, changed
from app.services.office import Office
from app.services.sheets import estimate_of


@dataclass(frozen=True, slots=True, kw_only=True)
class NewerEdition:
    """A recipe whose edition in the library is not the job's. `difference` [cents] in the job's price.

    None where the job's own edition is not kept on this machine: the job then already stands on the library's.
    `within` are titles of recipes it includes that are newer.
    """

    key: str
    title: str
    difference: int | None
    places: int
    within: tuple[str, ...] = ()

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
        if key not in live.assemblies or same_in(office, live, key, name):
            continue
        moved = _moved(opened.basis, live, key)
        kept = kept_edition(office, name) is not None
        found.append(
            NewerEdition(
                key=key,
                title=live.assemblies[key].title,
                difference=_difference(office, opened, moved) if kept else None,
                places=sum(work.assembly == key for work in job.works),
                within=tuple(sorted(recipe.title for one, recipe in moved.items() if one != key)),
            )
        )
    return tuple(sorted(found, key=lambda one: one.title))


def _moved(own: Basis, live: Basis, key: str) -> Mapping[str, Assembly]:
    """What of a recipe's newest edition the job's basis does not hold as it is."""
    newest = with_included(live.assemblies, key)
    return {one: recipe for one, recipe in newest.items() if own.assemblies.get(one) != recipe}


def _difference(office: Office, opened: OpenJob, moved: Mapping[str, Assembly]) -> int:
    after = estimate(opened.job, _with(opened.basis, moved))
    return after.price_cents - estimate_of(office, opened).price_cents


def _with(basis: Basis, moved: Mapping[str, Assembly]) -> Basis:
    return replace(basis, assemblies={**basis.assemblies, **moved})


def take_newer(office: Office, job_id: UUID, key: str, order: Order) -> Applied:
    """Take the library's edition of a recipe, in one change: for every work of it, and of what includes the same.

    Raises: NotFound where the job has no such recipe, or the library none.
    """
    opened, live = jobs.open_job(office, job_id), office.basis()
    if key not in live.assemblies or all(work.assembly != key for work in opened.job.works):
        raise NotFound("This recipe is not in the job, or not in the library (any more). Nothing was changed.")
    moved = _moved(opened.basis, live, key)
    after = _with(opened.basis, moved)
    touched = {
        one
        for one in {work.assembly for work in opened.job.works}
        if moved.keys() & with_included(after.assemblies, one)
    }
    names = {one: keep(office, after, one) for one in sorted(touched | {key})}
    edits = tuple(
        changed("work", work.id, opened.version("work", work.id), {"assembly_hash": names[work.assembly]})
        for work in opened.job.works
        if work.assembly in names and work.assembly_hash != names[work.assembly]
    )
    title = live.assemblies[key].title
    return jobs.save(office, job_id, edits, replace(order, what=f"Newer edition: {title}"))


def is_newer(office: Office, basis: Basis, key: str, name: str) -> bool:
    """Whether a basis holds a recipe in another edition than the named one."""
    return bool(name_in(office, basis, key)) and not same_in(office, basis, key, name)
