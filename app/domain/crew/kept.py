"""What stays in the yard and is kept safe, and the valves of the sprinklers where something is done to them."""

from collections.abc import Iterable, Iterator

from app.domain.basis import Basis
from app.domain.job import PRIVATE_LINES, SPRINKLERS, Fate, Job
from app.domain.takeoff.sprinkled import ValveWater, is_head, sprinkled

SPRINKLER_PARTS = frozenset({"sprinkler head", "head cap", "valve"})  # roles


def kept_safe(job: Job) -> Iterator[str]:
    """What stays, by name; the heads of the sprinklers as one."""
    stays = [one for one in job.existing if one.fate in (Fate.PROTECTED, Fate.STAYS)]
    yield from (one.title or one.kind for one in stays if not is_head(one))
    if any(is_head(one) for one in stays):
        yield PRIVATE_LINES[SPRINKLERS]


def valves_at(job: Job, basis: Basis, recipes: Iterable[str]) -> tuple[ValveWater, ...]:
    """The valves of the sprinklers, where one of these recipes puts in or takes out a part of them."""
    roles = {part.role for key in recipes for part in basis.assemblies[key].parts}
    found = sprinkled(job, basis) if roles & SPRINKLER_PARTS else None
    return found.valves if found else ()
