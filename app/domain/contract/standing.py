"""The contract as it stands: what is signed, for how much, zone by zone and work by work, and when it is paid.

It begins with the signed proposal and moves by what is signed after it. Works are worth what they were signed at: as
printed where the proposal was shown by line, else what their own lines sold for; what of a zone's price no work holds
is its share of the whole job.
"""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, fields
from datetime import date

from app.domain.basis import Basis
from app.domain.costing.client_prices import client_prices
from app.domain.costing.compared import Sold, sold_of
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.lines import ALLOWANCE, WHOLE_JOB, Line
from app.domain.costing.payments import Due, schedule
from app.domain.job import Firmness, Job, PriceShown, only_included

CellRow = tuple[Line, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """The contract sum and its parts [cents], the payments, the last day: what is kept beside a signed paper.

    `works` go by id of a work or an allowance, `found` by id of a found condition. `half_days` were added by change
    orders to `first_last_day`, which is the last day as the proposal had it (None: none was agreed).
    """

    sum_cents: int
    zones: Mapping[str, int]
    works: Mapping[str, int]
    payments: tuple[Due, ...]
    found: Mapping[str, int] = field(default_factory=dict)
    reached: tuple[str, ...] = ()
    half_days: int = 0
    first_last_day: date | None = None
    delay_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing(Parts):
    """What is signed: the parts of the contract, with the job as it was signed and its basis."""

    job: Job
    basis: Basis


def parts_of(standing: Standing) -> Parts:
    """The parts alone."""
    return Parts(**{one.name: getattr(standing, one.name) for one in fields(Parts)})


def with_parts(job: Job, basis: Basis, parts: Parts) -> Standing:
    """The contract of a job on its basis, with parts as they were kept."""
    return Standing(job=job, basis=basis, **{one.name: getattr(parts, one.name) for one in fields(Parts)})


def outside_of(job: Job) -> AbstractSet[str]:
    """Phases (by id as text) that stand outside the contract sum: their price is a range."""
    return {str(phase.id) for phase in job.phases if phase.firmness is Firmness.RANGE}


def cells_in_contract(job: Job, sold: Sold) -> list[CellRow]:
    """The lines of the contract sum with what each sells for [cents]."""
    outside = outside_of(job)
    pairs = zip(sold.lines, sold.selling, strict=True)
    return [(line, cents) for line, cents in pairs if line.phase not in outside]


def by_work(cells: Iterable[CellRow]) -> dict[str, int]:
    """What each work and each allowance sells for [cents], by id; what belongs to no work stands under nothing."""
    sums: dict[str, int] = {}
    for line, cents in cells:
        sums[line.work_id] = sums.get(line.work_id, 0) + cents
    return sums


def standing_of(job: Job, basis: Basis, contract_cents: int, sold: Sold | None = None) -> Standing:
    """The contract of a signed proposal: its job and basis as kept, its sum as printed [cents].

    `sold` are the lines as they were kept with it; None: as they work out. Parts add up to the sum to the cent.
    """
    worked = estimate(job, basis)
    prices = client_prices(only_included(job), worked)
    works = _works(job, worked, prices.works, sold)
    return Standing(
        job=job,
        basis=basis,
        sum_cents=contract_cents,
        zones=_adding_up(prices.zones, contract_cents),
        works=works,
        payments=_paid(schedule(only_included(job), basis.firm, prices), contract_cents),
        first_last_day=last_day_of(job),
    )


def last_day_of(job: Job) -> date | None:
    """The last day by which a phase in the contract is done; None where no day is said."""
    return max((one.done for one in job.phases if one.done and one.firmness is not Firmness.RANGE), default=None)


def _works(job: Job, worked: Estimate, printed: Mapping[str, int], sold: Sold | None) -> Mapping[str, int]:
    own = by_work(cells_in_contract(job, sold or sold_of(worked)))
    own.pop("", None)
    if job.head.price_shown is not PriceShown.LINE:
        return own
    return {**{key: cents for key, cents in own.items() if key not in printed}, **printed}


def _adding_up(parts: Mapping[str, int], total: int) -> Mapping[str, int]:
    """Parts that add up: what a release that worked otherwise left over stands with the whole job."""
    left = total - sum(parts.values())
    return {**parts, WHOLE_JOB: parts.get(WHOLE_JOB, 0) + left} if left else dict(parts)


def _paid(payments: tuple[Due, ...], total: int) -> tuple[Due, ...]:
    left = total - sum(one.cents for one in payments)
    if not left:
        return payments
    return (*payments, Due(event="With the last payment", phase="", cents=left))


def is_allowance(line: Line) -> bool:
    """Whether a line is money set aside, named by the allowance's id."""
    return line.kind == ALLOWANCE
