"""Labor: hours by requirement, whole crew-days by phase, and what an hour costs the firm."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.domain.basis import Basis, LaborClass
from app.domain.costing.site_factors import SiteFactor, slowed
from app.domain.money import cents
from app.domain.takeoff.purchases import whole_up
from app.domain.takeoff.rates import at_third, crew_day_hours
from app.domain.takeoff.requirements import Requirement
from app.domain.units import TRADE_UNITS


@dataclass(frozen=True, slots=True)
class Hours:
    """Person-hours of one requirement: as priced, and the low, likely and high they may turn out."""

    priced: float
    low: float
    likely: float
    high: float
    labor_class: str


@dataclass(frozen=True, slots=True)
class CrewDays:
    """A phase in whole days of the crew. `idle_hours` are paid but not worked."""

    phase: str
    hours: float
    days: int
    idle_hours: float
    idle_cents: int


def hours_of(requirement: Requirement, basis: Basis, factors: Mapping[str, SiteFactor]) -> Hours:
    """Hours of a task requirement: amount × rate + set-up once at its place, times the site factors that slow it."""
    task = basis.tasks[requirement.key]
    amount = requirement.amount / TRADE_UNITS[task.unit].size
    if amount <= 0:
        return Hours(0.0, 0.0, 0.0, 0.0, task.crew)
    low, likely, high = (
        slowed(amount * rate + setup, task.slows, factors) for rate, setup in zip(task.hours, task.setup, strict=True)
    )
    third = basis.firm.rate_third
    priced = slowed(amount * at_third(task.hours, third) + at_third(task.setup, third), task.slows, factors)
    return Hours(priced, low, likely, high, task.crew)


def cost_per_hour(labor: LaborClass) -> Decimal:
    """What one billable hour costs [whole money], to 1/10,000: wage × (1 + burden) ÷ (billable share of paid hours).

    >>> cost_per_hour(LaborClass(key="c", title="", wage=Decimal(26), burden={"a": Decimal("0.25")}))
    Decimal('32.5000')
    """
    burdened = labor.wage * (1 + sum(labor.burden.values(), Decimal(0)))
    return (burdened / (labor.billable or Decimal(1))).quantize(Decimal("0.0001"))


def crew_days(worked: Sequence[tuple[Requirement, Hours]], basis: Basis) -> tuple[CrewDays, ...]:
    """Whole crew-days by phase for all but the owner's own hours; the rest of the last day is paid for.

    The rest of the day costs the mean rate of the hours worked in the phase.
    """
    by_phase: dict[str, list[tuple[float, Decimal]]] = {}
    for requirement, hours in worked:
        labor = basis.labor_classes.get(hours.labor_class)
        if labor is not None and not labor.own and hours.priced > 0:
            by_phase.setdefault(requirement.phase, []).append((hours.priced, cost_per_hour(labor)))
    return tuple(_days(phase, rows, crew_day_hours(basis.firm)) for phase, rows in sorted(by_phase.items()))


def _days(phase: str, rows: list[tuple[float, Decimal]], day: float) -> CrewDays:
    hours = sum(sorted(one for one, _ in rows))
    days = whole_up(hours / day) if day > 0 else 0
    idle = max(0.0, days * day - hours)
    spent = sum(sorted(one * float(rate) for one, rate in rows))
    return CrewDays(phase, hours, days, idle, cents(idle * spent / hours) if hours else 0)
