"""What may happen on a job: expected cost of each risk, what of it the firm carries, what the site gives reason to ask.

Expected cost = chance × (low + 4 × likely + high) / 6, the mean of a three-point estimate. Source: the PERT weights
(D. G. Malcolm and others, Operations Research 7, 1959, from memory). Only what the firm carries is in its price; what
the client carries at an agreed unit price, or an allowance covers, is named beside it and costs nothing twice.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from app.domain.basis import CostClass
from app.domain.costing.lines import Line
from app.domain.costing.sharing import Cents, shared
from app.domain.findings import Finding, Severity
from app.domain.job import Answer, Fate, Job, Risk, Site, known_lines
from app.domain.money import cents

OURS = "us"
OLD_HOUSE = 1960  # built before: slabs, walls and footings of earlier yards are usual. Common practice, no source
STEEP = 0.15
NARROW = 5.0  # ft
WET_MONTHS = (11, 12, 1, 2, 3, 4)


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedRisk:
    """A risk the library offers where a fact of the site gives reason; its figures are assumptions to begin from."""

    key: str
    title: str
    when: str  # key of `FACTS`
    chance: Decimal
    low: int  # whole money, at cost
    likely: int
    high: int
    carried_by: str = OURS
    words: str = ""


def three_points(risk: Risk) -> tuple[int, int, int]:
    """Low, likely and high cost [cents] in order, an end that is not told being the likely one."""
    ends = (one if one is not None else risk.likely_cents for one in (risk.low_cents, risk.high_cents))
    low, likely, high = sorted((*ends, risk.likely_cents))
    return low, likely, high


def expected_cents(risk: Risk) -> int:
    """What a risk costs on average [cents].

    >>> from uuid import UUID
    >>> expected_cents(Risk(id=UUID(int=1), chance=Decimal("0.25"), low_cents=400_00, likely_cents=1_000_00))
    22500
    """
    low, likely, high = three_points(risk)
    return cents(risk.chance * (low + 4 * likely + high) / 600)


def ours(job: Job) -> tuple[Risk, ...]:
    """The risks whose cost is in the firm's price."""
    return tuple(one for one in job.risks if one.carried_by == OURS and expected_cents(one) > 0)


def risk_shares(job: Job, lines: Sequence[Line]) -> Cents | None:
    """Expected cost of the risks the firm carries, shared to cells by direct cost: those of its zone, else all.

    None where there is none.
    """
    carried = ours(job)
    if not carried:
        return None
    priced = np.array([0 if one.cost_class is CostClass.ALLOWANCE else one.cents for one in lines], dtype=np.int64)
    parts = np.zeros(len(lines), dtype=np.int64)
    for one in carried:
        inside = np.array([line.zone == str(one.zone_id) for line in lines], dtype=bool) if one.zone_id else None
        weights = priced * inside if inside is not None and (priced * inside).any() else priced
        parts += shared(expected_cents(one), weights)
    return parts


def risk_points(job: Job) -> tuple[Finding, ...]:
    """Open points of risks somebody else is said to carry, where nothing agreed says so."""
    points = []
    for one in job.risks:
        name = one.title or "A risk"
        if one.carried_by == "unit price" and not job.unit_prices:
            what = f"{name} is to be carried by the client at a unit price, and no unit price is agreed on this job."
            points.append(_point(one, "risk-unit-price-missing", what, "Agree a unit price, or carry it yourself."))
        if one.carried_by == "allowance" and not job.allowances:
            what = f"{name} is to be covered by an allowance, and this job has none."
            points.append(_point(one, "risk-allowance-missing", what, "Add the allowance, or carry it yourself."))
    return tuple(points)


def _point(risk: Risk, rule: str, what: str, remedy: str) -> Finding:
    return Finding(rule=rule, severity=Severity.WARN, where="job", what=what, measured=str(risk.id), remedy=remedy)


def reasons_of(job: Job) -> Mapping[str, str]:
    """What of the site gives reason to ask for a risk: fact → why, in words. What is not known counts as a reason."""
    told = ((name, say(job)) for name, say in FACTS.items())
    return {name: why for name, why in told if why}


def offered(job: Job, known: Iterable[OfferedRisk]) -> tuple[tuple[OfferedRisk, str], ...]:
    """The offered risks for which this site gives reason and that the job does not list yet, each with why."""
    reasons, taken = reasons_of(job), {one.offer for one in job.risks}
    return tuple((one, reasons[one.when]) for one in known if one.when in reasons and one.key not in taken)


def _lines_of(job: Job, key: str, name: str) -> str:
    answer = known_lines(job.site, job.existing)[key]
    if answer is Answer.NO:
        return ""
    return f"{name}: there are some" if answer is Answer.YES else f"{name}: not known yet"


def _soil(job: Job) -> str:
    return "" if job.site.soil else "what the ground is made of is not known yet"


def _hard_ground(job: Job) -> str:
    return f"the ground is {job.site.soil}" if job.site.soil in ("rock", "fill") else ""


def _old_house(job: Job) -> str:
    year = job.site.built_year
    return f"the house was built in {year}" if year and year < OLD_HOUSE else ""


def _private(job: Job) -> str:
    unknown = [one for one in ("gas", "pool", "yard-lights", "outbuilding") if _unknown(job.site, one)]
    return f"{len(unknown)} kinds of private lines are not known yet" if unknown else ""


def _unknown(site: Site, key: str) -> bool:
    return site.private_lines.get(key, Answer.UNKNOWN) is Answer.UNKNOWN


def _breaking_out(job: Job) -> str:
    kinds = {one.kind for one in job.existing if one.fate is Fate.GOES}
    return "concrete or pavers come out" if kinds & {"concrete", "pavers", "driveway", "wall"} else ""


def _trees(job: Job) -> str:
    near = [one for one in job.existing if one.kind in ("tree", "stump")]
    return f"{len(near)} trees or stumps stand in the yard" if len(near) > 1 else "a tree or stump" if near else ""


def _wet(job: Job) -> str:
    if job.site.water_note:
        return "water stands or runs in this yard"
    wet = [one.number for one in job.phases if one.start and one.start.month in WET_MONTHS]
    return f"phase {min(wet)} begins in the wet months" if wet else ""


def _steep(job: Job) -> str:
    slope = job.site.slope
    return f"the yard falls {slope:.0%}" if slope is not None and slope >= STEEP else ""


def _narrow(job: Job) -> str:
    width = job.site.access_width
    return f"the way in is {width:g} ft wide" if width is not None and width < NARROW else ""


FACTS: Mapping[str, Callable[[Job], str]] = {
    "soil-unknown": _soil,
    "hard-ground": _hard_ground,
    "old-house": _old_house,
    "footings": lambda job: _lines_of(job, "footings", "old footings or walls"),
    "private-lines-unknown": _private,
    "sprinklers": lambda job: _lines_of(job, "sprinklers", "sprinklers"),
    "septic": lambda job: _lines_of(job, "septic", "a septic tank or field"),
    "roof-drains": lambda job: _lines_of(job, "roof-drains", "roof drains below ground"),
    "breaking-out": _breaking_out,
    "trees": _trees,
    "wet": _wet,
    "steep": _steep,
    "narrow": _narrow,
}
