"""One material in place of another all over a job, and what that does to the price: two full estimates, never a part.

With the material come its own waste, packs, deliveries and labor, and all that is put on them.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.price import STEPS
from app.domain.job import Job, Work
from app.domain.takeoff.included import with_included
from app.domain.takeoff.standing import finishes_on, zones_of_places


@dataclass(frozen=True, slots=True, kw_only=True)
class Instead:
    """The price of a job [cents] as it stands and with another material, and what each step of it does to that."""

    now_cents: int
    then_cents: int
    steps: Mapping[str, int]

    @property
    def cents(self) -> int:
        """What the other material adds to the price; negative where the job is cheaper with it."""
        return self.then_cents - self.now_cents


def with_instead(job: Job, basis: Basis, now: str, then: str) -> Job:
    """The job with one material (by key) wherever another lies: chosen, set on a work, or the recipe's own."""
    zones = zones_of_places(job)
    works = tuple(
        _with(work, dict.fromkeys(_roles(basis, work, finishes_on(job, zones, work), now), then)) for work in job.works
    )
    return replace(job, works=works)


def _with(work: Work, finishes: Mapping[str, str]) -> Work:
    return replace(work, finishes={**work.finishes, **finishes}) if finishes else work


def _roles(basis: Basis, work: Work, finishes: Mapping[str, str], material: str) -> Iterator[str]:
    """The roles that a material has on a work."""
    if work.assembly in basis.assemblies:
        parts = (part for one in with_included(basis.assemblies, work.assembly).values() for part in one.parts)
        yield from dict.fromkeys(part.role for part in parts if finishes.get(part.role, part.material) == material)


def price_instead(job: Job, basis: Basis, worked: Estimate, now: str, then: str) -> Instead | None:
    """What the price of a job becomes; None where the other material, or what lies there, has no price in the book.

    `worked` is the estimate of the job as it stands.
    """
    if then not in basis.prices or now not in basis.prices:
        return None
    other = estimate(with_instead(job, basis, now, then), basis)
    steps = {name: other.build_up.step(name).cents - worked.build_up.step(name).cents for name in STEPS}
    return Instead(now_cents=worked.price_cents, then_cents=other.price_cents, steps=steps)
