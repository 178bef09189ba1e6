"""What options and packages cost: always the difference of two full estimates, never a sum of parts."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate, estimate
from app.domain.job import Job
from app.domain.job.choosing import ticked, with_package


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """The price of a job with something and without it [cents], everything else as it stands."""

    with_cents: int
    without_cents: int

    @property
    def cents(self) -> int:
        """What it adds to the price; negative where the job is cheaper with it."""
        return self.with_cents - self.without_cents


def option_differences(job: Job, basis: Basis, worked: Estimate) -> Mapping[UUID, Difference]:
    """What each option of a job adds, by its id. `worked` is the estimate of the job as it stands."""
    return {option.id: option_difference(job, basis, worked, option.id) for option in job.options}


def option_difference(job: Job, basis: Basis, worked: Estimate, option_id: UUID) -> Difference:
    """What one option adds with all others as they are ticked now.

    A way that replaces another ticked way is compared with that one.
    """
    option = next(one for one in job.options if one.id == option_id)
    other = estimate(ticked(job, option_id, taken=not option.taken), basis).price_cents
    now = worked.price_cents
    if option.taken:
        return Difference(with_cents=now, without_cents=other)
    return Difference(with_cents=other, without_cents=now)


def package_estimates(job: Job, basis: Basis) -> Mapping[UUID, Estimate]:
    """The full estimate of each package of a job, by its id."""
    return {package.id: estimate(with_package(job, package), basis) for package in job.packages}
