"""Labor: hours by requirement, whole crew-days by phase, and what an hour costs the firm."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import fsum

from app.domain.basis import Basis, Firm, LaborClass, Task
from app.domain.costing.pay_year import fits, year_cost
from app.domain.costing.site_factors import SiteFactor, slowed
from app.domain.findings import Finding, Severity, Stop
from app.domain.money import cents
from app.domain.takeoff.rates import at_third, crew_day_hours
from app.domain.takeoff.whole import whole_up
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


@dataclass(frozen=True, slots=True)
class Rate:
    """What one hour of a class of people costs; `own` hours fill no crew days."""

    labor: LaborClass
    per_hour: Decimal

    @property
    def own(self) -> bool:
        """Whether these are the owner's own hours."""
        return self.labor.own


def hours_of(amount: float, task: Task, firm: Firm, factors: Mapping[str, SiteFactor]) -> Hours:
    """Hours for an amount [canonical units] at one place: amount × rate + set-up once, times the factors that slow it.

    The same work in two zones is set up twice: small patches cost nearly as much as big ones.
    """
    units = amount / TRADE_UNITS[task.unit].size
    if units <= 0:
        return Hours(0.0, 0.0, 0.0, 0.0, task.crew)
    factor = slowed(1.0, task.slows, factors)
    third = firm.rate_third
    priced = units * at_third(task.hours, third) + at_third(task.setup, third)
    low, likely, high = (units * rate + setup for rate, setup in zip(task.hours, task.setup, strict=True))
    return Hours(priced * factor, low * factor, likely * factor, high * factor, task.crew)


def cost_per_hour(labor: LaborClass, *, day_counts: bool = False) -> Decimal:
    """What one billable hour costs [whole money], to 1/10,000: wage × (1 + burden) ÷ (billable share of paid hours).

    Where a year of pay is filled in, it is worked out from that; `day_counts`: see `pay_year.year_cost`.
    Raises: BadValue for a year that leaves no hours to bill.

    >>> cost_per_hour(LaborClass(key="c", title="", wage=Decimal(26), burden={"a": Decimal("0.25")}))
    Decimal('32.5000')
    """
    if labor.year is not None:
        hour = year_cost(labor.wage, labor.year, day_counts=day_counts).per_hour
    else:
        hour = labor.wage * (1 + sum(labor.burden.values(), Decimal(0))) / labor.billable
    return hour.quantize(Decimal("0.0001"))


def has_cost(labor: LaborClass) -> bool:
    """Whether a class has a wage and billable hours: else its hours cost nobody knows what."""
    return labor.wage > 0 and (fits(labor.year) if labor.year is not None else labor.billable > 0)


def rates(basis: Basis) -> Mapping[str, Rate]:
    """The rates of all classes that have a wage and billable hours. The others cost nobody knows what."""
    paid = {key: labor for key, labor in basis.labor_classes.items() if has_cost(labor)}
    return {key: Rate(labor, cost_per_hour(labor)) for key, labor in paid.items()}


def unpaid(crews: Iterable[str]) -> list[Finding]:
    """Classes of people without a wage: their hours have no cost yet, so they stop a firm price."""
    return [
        Finding(
            rule="wage-missing",
            severity=Severity.STOP,
            where=f"labor_class:{crew}",
            what=f"Nobody is paid as “{crew}” yet: hours of that kind have no cost.",
            remedy="Type a wage for them on the Firm sheet.",
            stop=Stop.MONEY,
        )
        for crew in sorted(set(crews))
    ]


def crew_days(worked: Mapping[str, Sequence[tuple[float, float | Decimal]]], firm: Firm) -> tuple[CrewDays, ...]:
    """Whole crew-days by phase, from hours and their rate; the rest of the last day is paid for.

    The owner's own hours fill no crew day. The rest of the day costs the mean rate of the hours of the phase.
    """
    day = crew_day_hours(firm)
    return tuple(_days(phase, rows, day) for phase, rows in sorted(worked.items()) if rows)


def _days(phase: str, rows: Sequence[tuple[float, float | Decimal]], day: float) -> CrewDays:
    hours = fsum(one for one, _ in rows)
    days = whole_up(hours / day) if day > 0 else 0
    idle = max(0.0, days * day - hours)
    spent = fsum(one * float(rate) for one, rate in rows)
    return CrewDays(phase, hours, days, idle, cents(idle * spent / hours) if hours > 0 else 0)
