"""Labor: hours by requirement, and what an hour costs the firm."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.domain.basis import Basis, Firm, LaborClass, Task
from app.domain.costing.pay_year import fits, year_cost
from app.domain.costing.site_factors import SiteFactor, slowed
from app.domain.findings import Finding, Severity, Stop
from app.domain.takeoff.rates import at_third, third_of
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
class Rate:
    """What one hour of a class of people costs; `own` hours fill no crew days.

    `overtime` is what an hour beyond the week's costs more; nothing where the year's average has it in.
    """

    labor: LaborClass
    per_hour: Decimal
    overtime: Decimal = Decimal(0)

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
    third = third_of(task, firm)
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


def rates(basis: Basis, *, day_counts: bool = False) -> Mapping[str, Rate]:
    """The rates of all classes that have a wage and billable hours. The others cost nobody knows what."""
    paid = {key: labor for key, labor in basis.labor_classes.items() if has_cost(labor)}
    extra = basis.firm.crew_day.overtime_extra if basis.firm.crew_day else Decimal(0)
    return {key: _rate(labor, extra, day_counts=day_counts and not labor.own) for key, labor in paid.items()}


def _rate(labor: LaborClass, extra: Decimal, *, day_counts: bool) -> Rate:
    return Rate(labor, cost_per_hour(labor, day_counts=day_counts), overtime_cost(labor, extra))


def overtime_cost(labor: LaborClass, extra: Decimal) -> Decimal:
    """What an overtime hour costs more [whole money]: `extra` of the wage, and the items that go by all pay.

    An item whose cap a year's pay reaches costs nothing more. Nothing where the class's own year has overtime in it.

    >>> overtime_cost(LaborClass(key="c", title="", wage=Decimal(26)), Decimal("0.5"))
    Decimal('13.0000')
    """
    year, more = labor.year, labor.wage * extra
    if year is not None and extra:
        if year.overtime_hours:
            return Decimal(0)
        worked = year_cost(labor.wage, year)
        live = (one.item.share for one in worked.items if one.item.base == "pay" and one.counted == one.base)
        more *= 1 + sum(live, Decimal(0))
    return more.quantize(Decimal("0.0001"))


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
