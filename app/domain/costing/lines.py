"""Lines of the estimate: one for each requirement, and those that belong to the whole job."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Basis, CostClass, Firm, Material, Task
from app.domain.costing.crew_day import OVERTIME, TITLES, CrewDays, Day, PaidFor, Worked, counts_the_yard, day_of
from app.domain.costing.labor import Hours, Rate, hours_of, rates
from app.domain.costing.price import MOST_CENTS
from app.domain.costing.site_factors import Slowing, slowing_of
from app.domain.errors import BadValue
from app.domain.job import Allowance, Job
from app.domain.keeping import BoundedByIdentity, KeptByInputs, KeptRows, Same
from app.domain.money import cost
from app.domain.takeoff.purchases import Purchase
from app.domain.takeoff.rates import times_off
from app.domain.takeoff.requirements import Requirement
from app.domain.units import TRADE_UNITS

WHOLE_JOB = "job"
IDLE = "idle"  # kind of the line that pays the rest of a phase's last crew day
ALLOWANCE = "allowance"
ROUNDING = "rounding"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the estimate. `kind`: material, task, idle, what goes off a crew's day, allowance or rounding.

    `amount` is in the unit the thing is bought or done by, with losses where it is bought; `cents` is its direct cost.
    A line that is not `priced` has no price yet: its zero is no figure.
    """

    kind: str
    key: str
    title: str
    work_id: str
    index: int
    zone: str
    phase: str
    cost_class: CostClass
    amount: float
    unit: str
    hours: float
    cents: int
    priced: bool = True

    @property
    def figure(self) -> str:
        """The name by which this line is explained."""
        return f"line:{self.kind}:{self.work_id or self.phase or WHOLE_JOB}:{self.index}"


@dataclass(frozen=True, slots=True)
class LaborLine:
    """A task's line with the hours behind it and what they cost low, as priced and high [cents].

    The middle is the rate the firm prices at: a new firm's band lies around its own careful price, not below it.
    `in_crew` fills days of the crew; None for the owner's own hours and for unpaid ones.
    """

    line: Line
    hours: Hours
    spread: tuple[float, float, float]
    in_crew: Worked | None
    times_off: float = 1.0  # how far the amount here is from the size its hours were learned on


@dataclass(frozen=True, slots=True, eq=False)
class Paying:
    """What labor lines rest on besides the requirement; the same one while firm, site, wages and tasks are."""

    firm: Firm
    slowing: Slowing
    rates: Mapping[str, Rate]
    tasks: Mapping[str, Task]
    day: Day


_PAYING: KeptByInputs[Paying] = KeptByInputs(1, each=16)
_LABOR: BoundedByIdentity[Requirement, tuple[Paying, LaborLine]] = BoundedByIdentity(10_000)
_LABOR_ROWS: KeptRows[Requirement, LaborLine | None] = KeptRows(32)
_MATERIAL: BoundedByIdentity[Requirement, tuple[Material | None, Line]] = BoundedByIdentity(10_000)


def paying_of(job: Job, basis: Basis) -> Paying:
    """What the hours of a job cost, what slows them, and what a paid day of the crew goes to."""
    firm, people, tasks, drive = basis.firm, basis.labor_classes, basis.tasks, job.site.drive_minutes
    slowing = slowing_of(job.site, job.phases, firm, basis.rules)
    rests_on = (firm, Same(slowing), people, Same(tasks), drive)
    return _PAYING.get_or_make("paying", rests_on, lambda: _paying(basis, slowing, drive))


def _paying(basis: Basis, slowing: Slowing, drive_minutes: float | None) -> Paying:
    people = rates(basis, day_counts=counts_the_yard(basis.firm, drive_minutes))
    return Paying(basis.firm, slowing, people, basis.tasks, day_of(basis.firm, people, drive_minutes))


def lines_made() -> int:
    """How many lines were made since the start, and not found kept."""
    return _LABOR.made + _MATERIAL.made


def labor_lines(needed: Sequence[Requirement], paying: Paying) -> list[LaborLine | None]:
    """The line of each requirement that is a task; None for the others."""
    key = (len(needed), needed[0].work_id.int) if needed else ()  # the row of the same job, as long as it was
    return _LABOR_ROWS.get_or_make(
        key, paying, needed, lambda one: labor_line(one, paying) if one.kind == "task" else None
    )


def required_lines(
    needed: Sequence[Requirement],
    labor: Sequence[LaborLine | None],
    bought: Sequence[Purchase],
    materials: Mapping[str, Material],
) -> list[Line]:
    """One line for each requirement, in their order."""
    made = [None if worked is None else worked.line for worked in labor]
    for purchase in bought:
        material = materials.get(purchase.material)
        rows = _MATERIAL.many([needed[place] for place in purchase.requirements])
        for at, (place, row) in enumerate(zip(purchase.requirements, rows, strict=True)):
            same = row is not None and row[0] is material and _still(row[1], purchase, at)
            made[place] = row[1] if row is not None and same else material_line(needed[place], material, purchase, at)
    return [
        material_line(one, materials.get(one.key), None, 0) if line is None else line
        for one, line in zip(needed, made, strict=True)
    ]


def _still(before: Line, purchase: Purchase, at: int) -> bool:
    return (
        before.cents == purchase.parts[at]
        and before.amount == purchase.amounts[at]
        and before.priced is purchase.priced
    )


def labor_line(one: Requirement, paying: Paying) -> LaborLine:
    """The line of a task, kept while requirement, task, wages, firm and site are the same."""
    kept = _LABOR.get(one)
    if kept is not None and kept[0] is paying:
        return kept[1]
    task = paying.tasks[one.key]
    made = _labor_line(
        one, task, paying.rates.get(task.crew), hours_of(one.amount, task, paying.firm, paying.slowing.of(one.phase))
    )
    _LABOR.keep(one, (paying, made))
    return made


def _labor_line(one: Requirement, task: Task, rate: Rate | None, hours: Hours) -> LaborLine:
    paid = _bounded(cost(hours.priced, rate.per_hour), task.title) if rate else 0
    line = Line(
        "task",
        one.key,
        task.title,
        str(one.work_id),
        one.index,
        one.zone,
        one.phase,
        CostClass.OWN_HOURS if rate and rate.own else CostClass.LABOR,
        one.amount / TRADE_UNITS[task.unit].size,
        task.unit,
        hours.priced,
        paid,
        rate is not None,
    )
    per_hour = float(rate.per_hour) * 100 if rate else 0.0
    spread = (hours.low, max(hours.priced, hours.low), max(hours.high, hours.priced))
    in_crew = Worked(hours.priced, float(rate.per_hour), rate.overtime) if rate and not rate.own else None
    times = times_off(task, line.amount) if hours.priced > 0 else 1.0
    return LaborLine(line, hours, (spread[0] * per_hour, spread[1] * per_hour, spread[2] * per_hour), in_crew, times)


def material_line(one: Requirement, material: Material | None, purchase: Purchase | None, at: int) -> Line:
    """The line of a material: its share (at place `at`) of what was bought for the phase.

    Without a purchase it could not be bought, and its amount is what is needed in place.
    """
    part = purchase.parts[at] if purchase else 0
    amount = purchase.amounts[at] if purchase else one.amount
    priced = purchase is not None and purchase.priced
    kept = _MATERIAL.get(one)
    before = kept[1] if kept is not None and kept[0] is material else None
    if before is not None and (before.cents, before.amount, before.priced) == (part, amount, priced):
        return before
    made = Line(
        "material",
        one.key,
        material.title if material else one.label,
        before.work_id if before else str(one.work_id),
        one.index,
        one.zone,
        one.phase,
        material.cost_class if material else CostClass.MATERIAL,
        amount,
        purchase.unit if purchase else one.dimension.unit,
        0.0,
        _bounded(part, material.title if material else one.key),
        priced,
    )
    _MATERIAL.keep(one, (material, made))
    return made


def _bounded(cents: int, title: str) -> int:
    if abs(cents) > MOST_CENTS:
        raise BadValue(f"{title} comes to more than {MOST_CENTS // 100:,}. Look at its amount and its price again.")
    return cents


def idle_line(days: CrewDays) -> Line:
    """Pays the rest of a phase's last crew day."""
    hours, title = days.idle_hours, "Rest of the last crew day"
    return Line(
        IDLE, "crew-day", title, "", 0, WHOLE_JOB, days.phase, CostClass.LABOR, hours, "hour", hours, days.idle_cents
    )


def beside_lines(days: CrewDays) -> list[Line]:
    """What goes off each day of a phase, and overtime: its hours are worked already and only cost more."""
    return [_beside(one, days.phase) for one in days.beside if one.cents]


def _beside(one: PaidFor, phase: str) -> Line:
    hours = 0.0 if one.kind == OVERTIME else one.hours
    titles = (one.kind, "crew-day", TITLES[one.kind], "", 0)
    return Line(*titles, WHOLE_JOB, phase, CostClass.LABOR, one.hours, "hour", hours, one.cents)


def allowance_lines(job: Job) -> list[Line]:
    """Allowances as they are printed: selling prices, sold without markup."""
    if not job.allowances:
        return []
    zones = {zone.id: zone for zone in job.zones}
    first = _first_phase(job)

    def line(at: int, one: Allowance) -> Line:
        zone = zones.get(one.zone_id) if one.zone_id else None
        phase: UUID | None = one.phase_id or (zone.phase_id if zone else None)
        in_zone, in_phase = str(zone.id) if zone else WHOLE_JOB, str(phase) if phase else first
        titles = (ALLOWANCE, str(one.id), one.title or "Allowance", str(one.id))
        return Line(*titles, at, in_zone, in_phase, CostClass.ALLOWANCE, 1.0, "each", 0.0, _bounded(one.cents, "It"))

    return [line(at, one) for at, one in enumerate(job.allowances)]


def rounding_line(job: Job, lines: Iterable[Line]) -> Line:
    """The cell that the last rounding goes to: of the whole job, in the last phase that has anything in it."""
    used = {line.phase for line in lines}
    phase = max(((one.number, str(one.id)) for one in job.phases if str(one.id) in used), default=(0, ""))[1]
    return Line(ROUNDING, ROUNDING, "Rounding", "", 0, WHOLE_JOB, phase, CostClass.FEE, 1.0, "each", 0.0, 0)


def _first_phase(job: Job) -> str:
    """The id of the first phase as text; empty where the job has no phases."""
    return min(((one.number, str(one.id)) for one in job.phases), default=(0, ""))[1]
