"""Everything that the order on the ground has against the phases of a job, as open points."""

from collections.abc import Sequence
from datetime import date

from app.domain.basis import Basis
from app.domain.findings import Finding, in_order
from app.domain.job import Job, only_included
from app.domain.phasing.approvals import approval_points
from app.domain.phasing.ground_order import ground_order
from app.domain.phasing.paved_in import way_points
from app.domain.phasing.seasons import season_points
from app.domain.takeoff.requirements import Requirement

ORDER_RULES = frozenset(
    {"torn-up", "demolition-late", "paved-in", "no-way-in", "out-of-season", "starts-before-approval"}
)


def order_points(job: Job, basis: Basis, requirements: Sequence[Requirement], today: date) -> tuple[Finding, ...]:
    """Torn-up work, ways closed to machines, planting out of season, approvals that are not there.

    `requirements` are those of the job's estimate. Source: the logic of the ground; weeks and widths are rules.
    """
    built = only_included(job)
    found = (
        *ground_order(built, basis),
        *way_points(built, basis, requirements),
        *season_points(built, basis, requirements),
        *approval_points(built, today),
    )
    return in_order(found)
