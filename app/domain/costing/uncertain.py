"""What may move the cost of a job, by what moves together: labor as one, each supplier, all measures as one."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from app.domain.basis import Basis, CostClass
from app.domain.costing.lines import ALLOWANCE, LaborLine, Line
from app.domain.costing.range import Inputs, Spread, grouped
from app.domain.job import Job, Measured
from app.domain.takeoff.purchases import Purchase

LABOR = "labor"
FIXED = "fixed"
SKETCH_APART = 0.12  # share by which a sketched measure may be off (assumption)
TAPED_APART = 0.02  # share by which a taped one may (assumption)


def uncertain(
    job: Job, basis: Basis, lines: Sequence[Line], labor: Sequence[LaborLine | None], bought: Sequence[Purchase]
) -> Inputs:
    """The groups of a job's direct cost with their spread, and how far its measures stretch each of them."""
    sold = [one for one in bought if not _set_aside(one, basis)]
    inputs = [(LABOR, _labor(labor)), *(_purchased(one, basis) for one in sold)]
    inputs += [
        (FIXED, Spread(line.cents, line.cents, line.cents)) for line in lines[len(labor) :] if line.kind != ALLOWANCE
    ]
    groups = grouped(inputs)
    stretch = _stretch(job, lines[: len(labor)], sold)
    return Inputs(groups, {name: moved / groups[name].likely for name, moved in stretch.items() if groups[name].likely})


def _labor(labor: Sequence[LaborLine | None]) -> Spread:
    spreads = [one.spread for one in labor if one]
    low, likely, high = (sum(column) for column in zip(*spreads, strict=True)) if spreads else (0.0, 0.0, 0.0)
    return Spread(low, likely, high)


def _set_aside(one: Purchase, basis: Basis) -> bool:
    """Whether a purchase is an allowance: sold as it stands, so no part of what may move."""
    material = basis.materials.get(one.material)
    return material is not None and material.cost_class is CostClass.ALLOWANCE


def _purchased(one: Purchase, basis: Basis) -> tuple[str, Spread]:
    price = basis.prices.get(one.material)
    low, high = (price.low, price.high) if price else (0.0, 0.0)
    total = float(one.total_cents)
    return _group(one), Spread(total * (1 + max(-1.0, min(low, 0.0))), total, total * (1 + max(high, 0.0)))


def _group(one: Purchase) -> str:
    return f"supplier:{one.supplier}"


def _stretch(job: Job, lines: Sequence[Line], bought: Sequence[Purchase]) -> Mapping[str, float]:
    """Cents by group that measures move, off as far as they may be; lines of the whole job are not measured."""
    supplier = {one.material: _group(one) for one in bought}
    apart = _apart(job)
    moved: dict[str, float] = defaultdict(float)
    for line in lines:
        off = apart.get(line.zone)
        if off and line.cents and line.cost_class is not CostClass.ALLOWANCE:
            moved[LABOR if line.kind == "task" else supplier[line.key]] += line.cents * off
    return moved


def _apart(job: Job) -> Mapping[str, float]:
    """By zone, the share by which its measures may be off: much where it is a sketch, little where it was taped."""
    chosen = job.chosen_by_zone()
    taped = {key for key, one in chosen.items() if one.measured is Measured.TAPED}
    return {str(zone.id): TAPED_APART if zone.id in taped else SKETCH_APART for zone in job.zones}
