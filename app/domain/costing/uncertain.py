"""What may move the cost of a job, and what moves together: data of the basis, never of this code.

Hours of the crew are one group, the owner's own hours another; what is bought moves with its supplier, hauling with
hauling, subcontractors with one another. Common to several groups are how well the yard was measured, the weather, and
prices rising everywhere; rules of the basis (`apart-…`, `weather-…`, `market-…`) say how far, and what bears how much
of it. Apart from all that is what may happen or not (`chances`): the risks the firm carries. A basis without those
rules holds its prices as typed, and knows no weather.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import is_
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from app.domain.basis import Basis, CostClass, Price
from app.domain.costing.chances import Chance
from app.domain.costing.lines import ALLOWANCE, LaborLine, Line
from app.domain.costing.range import Common, Input, Inputs, Rows, Spread
from app.domain.costing.risks import ours, three_points
from app.domain.job import Job, Measured, zones_by_key
from app.domain.keeping import BoundedByIdentity, BoundedCache, KeptByInputs, Same
from app.domain.takeoff.purchases import Purchase

LABOR = "labor"
OWN_HOURS = "own hours"
HAULING = "hauling"
SUBS = "subcontractors"
FIXED = "fixed"
MEASURES = "measures"
WEATHER = "weather"
MARKET = "market"
SKETCH_APART = 0.12  # share by which a sketched measure may be off, where no rule says: assumption
TAPED_APART = 0.02  # share by which a taped one may: assumption
APART: Mapping[str, float] = {"apart-sketch": SKETCH_APART, "apart-taped": TAPED_APART}
CAUSES = (WEATHER, MARKET)

Loads = tuple[float, ...]


def uncertain(
    job: Job, basis: Basis, lines: Sequence[Line], labor: Sequence[LaborLine | None], bought: Sequence[Purchase]
) -> Inputs:
    """Every input of a job's direct cost: what it may come to, the group it moves with, what stretches it."""
    bearing = _bearing(job, basis)
    held = _held(lines, labor, bought) if job.quotes else 0.0
    beside = [*_beside(lines, len(labor), bearing), *([Input(FIXED, held, held, held)] if held else [])]
    pooled = [one for purchase in bought for one in _kept_pool(purchase, lines, bearing)]

    def each() -> tuple[Input, ...]:
        of_lines = (one for purchase in bought for one in _bought(purchase, lines, bearing, _by_line))
        return (*_hours(labor, bearing), *of_lines, *beside)

    chances = tuple(Chance(float(one.chance), *three_points(one)) for one in ours(job))
    return Inputs((*pooled, *beside), bearing.common, each, chances, _hours_kept(job, labor, bearing))


def _held(lines: Sequence[Line], labor: Sequence[LaborLine | None], bought: Sequence[Purchase]) -> float:
    """What accepted quotes come to [cents]: the subcontractor holds it, so it is no part of what may move."""
    paid = {at for one in bought for at in one.requirements}
    return float(sum(lines[at].cents for at, one in enumerate(labor) if one is None and at not in paid))


def rule_value(basis: Basis, key: str, where_none: float = 0.0) -> float:
    """The value of a rule; `where_none` where the basis holds no such rule."""
    rule = basis.rules.get(key)
    return rule.value if rule else where_none


def group_of(cost_class: CostClass, supplier: str) -> str:
    """The group that something bought moves with."""
    if cost_class is CostClass.HAULING:
        return HAULING
    return SUBS if cost_class is CostClass.SUBCONTRACT else f"supplier:{supplier}"


def price_spread(price: Price | None, cost_class: CostClass, basis: Basis) -> tuple[float, float]:
    """How far a price may turn out below and above itself, as shares.

    As typed with it; else as the rules of its class say, unless its supplier holds it until a day.
    """
    if price is None:
        return 0.0, 0.0
    low, high = price.low, price.high
    if not low and not high and price.valid_until is None:
        word = cost_class.value.replace(" ", "-")
        low, high = -rule_value(basis, f"apart-{word}-low"), rule_value(basis, f"apart-{word}-high")
    return max(-1.0, min(low, 0.0)), max(high, 0.0)


class _Bearing:
    """What a line bears of each common cause: measures first, by its zone; then by its class."""

    def __init__(self, apart: Mapping[str, float], basis: Basis) -> None:
        self.basis, self.apart, self.common = basis, apart, _common(basis)
        self.causes = [one.name for one in self.common if one.name != MEASURES]
        self.known: dict[CostClass, tuple[Mapping[str, Loads], Loads]] = {}

    def of(self, cost_class: CostClass) -> tuple[Mapping[str, Loads], Loads]:
        """The loads of lines of a class: by zone, and of the whole job."""
        found = self.known.get(cost_class)
        if found is None:
            word = cost_class.value.replace(" ", "-")
            by_class = tuple(rule_value(self.basis, f"{cause}-on-{word}") for cause in self.causes)
            by_zone = {zone: (apart, *by_class) for zone, apart in self.apart.items()}
            found = self.known[cost_class] = (by_zone, (0.0, *by_class))
        return found


_BEARINGS: KeptByInputs[_Bearing] = KeptByInputs(64)


def _bearing(job: Job, basis: Basis) -> _Bearing:
    """The same one while the zones, how each was measured and the basis are the same."""
    apart = _apart(job, basis)
    return _BEARINGS.get_or_make(job.head.id, (apart, Same(basis)), lambda: _Bearing(apart, basis))


def _hours(labor: Sequence[LaborLine | None], bearing: _Bearing) -> Iterator[Input]:
    for at, one in enumerate(labor):
        if one is not None:
            yield _hours_of(one, at, bearing)


def _hours_of(one: LaborLine, at: int, bearing: _Bearing) -> Input:
    is_own = one.line.cost_class is CostClass.OWN_HOURS
    by_zone, whole = bearing.of(CostClass.OWN_HOURS if is_own else CostClass.LABOR)
    low, likely, high = one.spread
    return Input(OWN_HOURS if is_own else LABOR, low, likely, high, by_zone.get(one.line.zone, whole), at)


@dataclass(frozen=True, slots=True)
class _Hours:
    """The inputs of labor lines as columns, and the lines and loads they are of: an edit sets the rows it changed."""

    labor: Sequence[LaborLine | None]
    bearing: _Bearing
    groups: list[str]  # empty: no labor
    columns: NDArray[np.float64]  # low, likely, high, then loads; a row each


_HOURS: BoundedCache[UUID, _Hours] = BoundedCache(32)


def _hours_kept(job: Job, labor: Sequence[LaborLine | None], bearing: _Bearing) -> Rows:
    """The inputs of labor lines as columns; only those of other lines than last time are worked out."""
    known = _HOURS.get(job.head.id)
    if known is None or known.bearing is not bearing or len(known.labor) != len(labor):
        groups, columns = [""] * len(labor), np.zeros((len(labor), 3 + len(bearing.common)))
        others = [at for at, one in enumerate(labor) if one is not None]
    else:
        groups, columns = known.groups.copy(), known.columns.copy()
        others = [at for at, same in enumerate(map(is_, labor, known.labor)) if not same]
    for at in others:
        one = labor[at]
        found = (
            _hours_of(one, at, bearing) if one is not None else Input("", 0.0, 0.0, 0.0, (0.0,) * len(bearing.common))
        )
        groups[at], columns[at] = found.group, (*found[1:4], *found.loads)
    _HOURS.keep(job.head.id, _Hours(labor, bearing, groups, columns))
    named = columns[[bool(group) for group in groups]]
    low, likely, high = named.T[:3]
    return Rows([group for group in groups if group], low, likely, high, named[:, 3:])


Parts = Iterable[tuple[int, int, Loads]]  # of a purchase: place of the line (−1: of several), cents, what it bears


_POOLS: BoundedByIdentity[Purchase, tuple[_Bearing, tuple[Input, ...]]] = BoundedByIdentity(1_000)


def _kept_pool(one: Purchase, lines: Sequence[Line], bearing: _Bearing) -> tuple[Input, ...]:
    """A purchase as inputs, kept while it is the same: it is of the same lines then."""
    kept = _POOLS.get(one)
    if kept is None or kept[0] is not bearing:
        kept = (bearing, tuple(_bought(one, lines, bearing, _pooled)))
        _POOLS.keep(one, kept)
    return kept[1]


def _bought(
    one: Purchase,
    lines: Sequence[Line],
    bearing: _Bearing,
    parted: Callable[[Purchase, Sequence[Line], Mapping[str, Loads], Loads], Parts],
) -> Iterator[Input]:
    """A purchase in parts; an allowance is sold as it stands, so it is no part of what may move."""
    if one.cost_class is CostClass.ALLOWANCE or not one.total_cents:
        return
    group, (by_zone, whole) = group_of(one.cost_class, one.supplier), bearing.of(one.cost_class)
    low, high = price_spread(bearing.basis.prices.get(one.material), one.cost_class, bearing.basis)
    low, high = 1 + low, 1 + high
    for at, part, loads in parted(one, lines, by_zone, whole):
        yield Input(group, part * low, float(part), part * high, loads, at)


def _by_line(one: Purchase, lines: Sequence[Line], by_zone: Mapping[str, Loads], whole: Loads) -> Parts:
    return [
        (at, part, by_zone.get(lines[at].zone, whole)) for at, part in zip(one.requirements, one.parts, strict=True)
    ]


def _pooled(one: Purchase, lines: Sequence[Line], by_zone: Mapping[str, Loads], whole: Loads) -> Parts:
    """A purchase's lines have one price between them: those that bear the same are one input."""
    sums: dict[Loads, int] = {}
    for at, part in zip(one.requirements, one.parts, strict=True):
        loads = by_zone.get(lines[at].zone, whole)
        sums[loads] = sums.get(loads, 0) + part
    return [(-1, part, loads) for loads, part in sums.items()]


def _beside(lines: Sequence[Line], begins: int, bearing: _Bearing) -> Iterator[Input]:
    """Lines of the whole job: the rest of crew days, travel and the like bear the weather; what is left stands."""
    fixed = 0.0
    for at in range(begins, len(lines)):
        line = lines[at]
        if line.kind == ALLOWANCE or not line.cents:
            continue
        if line.cost_class is CostClass.LABOR:
            cents, (by_zone, whole) = float(line.cents), bearing.of(line.cost_class)
            yield Input(LABOR, cents, cents, cents, by_zone.get(line.zone, whole), at)
        else:
            fixed += line.cents
    if fixed:
        yield Input(FIXED, fixed, fixed, fixed)


def _common(basis: Basis) -> tuple[Common, ...]:
    found = [Common(MEASURES, Spread(-1.0, 0.0, 1.0))]
    for name in CAUSES:
        low, high = rule_value(basis, f"{name}-low"), rule_value(basis, f"{name}-high")
        if low > 0 or high > 0:
            found.append(Common(name, Spread(-max(0.0, low), 0.0, max(0.0, high))))
    return tuple(found)


def shares_apart(basis: Basis) -> tuple[float, float]:
    """By which share a measure may be off: on a sketch, and by tape."""
    sketch, taped = (rule_value(basis, key, shipped) for key, shipped in APART.items())
    return sketch, taped


def _apart(job: Job, basis: Basis) -> Mapping[str, float]:
    """By zone, the share by which its measures may be off: much where it is a sketch, little where it was taped.

    Lines of the whole job are not measured.
    """
    sketch, taped = shares_apart(basis)
    chosen = job.chosen_by_zone()
    known = {key for key, one in chosen.items() if one.measured is Measured.TAPED}
    keyed = zones_by_key(job.zones).items()
    return {key: taped if zone.id in known else sketch for key, zone in keyed}
