"""Where the cost of an hour comes from: wage, what comes on top of it, and the paid hours that no job pays for."""

from collections.abc import Mapping
from decimal import Decimal

from app.domain.basis import LaborClass
from app.domain.costing.labor import cost_per_hour
from app.domain.costing.pay_year import ItemCost, YearCost, year_cost
from app.domain.takeoff.trace import Trace, number_text

FROM_FIRM = "firm settings"
YEAR_BASES: Mapping[str, str] = {"pay": "all pay, overtime in it", "wage": "the base wage for every paid hour"}


def explain_hour(labor: LaborClass, currency: str, *, day_counts: bool = False) -> Trace:
    """What an hour that a job pays for costs."""
    if labor.year is None:
        return _by_shares(labor, currency)
    worked = year_cost(labor.wage, labor.year, day_counts=day_counts)
    told = _Telling(labor, worked, currency)
    return Trace(
        label=f"{labor.title}: cost of an hour",
        expression="(pay + what comes on top) / hours that jobs pay for, a year",
        filled=f"({_text(worked.pay)} + {_text(worked.burden)}) / {_text(worked.billable_hours)}",
        result=float(cost_per_hour(labor, day_counts=day_counts)),
        unit=f"{currency}/hour",
        source=FROM_FIRM,
        steps=(told.pay(), told.burden(), told.billable_hours()),
    )


def explain_year(labor: LaborClass, currency: str, figure: str, *, day_counts: bool = False) -> Trace | None:
    """One figure of a class's year of pay; None for one that is not there.

    `hour`, `pay`, `average`, `burden`, `burdened`, `today`, `billable` or `item:N`.
    """
    if figure == "hour":
        return explain_hour(labor, currency, day_counts=day_counts)
    if labor.year is None:
        return None
    told = _Telling(labor, year_cost(labor.wage, labor.year, day_counts=day_counts), currency)
    kind, _, number = figure.partition(":")
    if kind == "item" and number.isascii() and number.isdigit() and int(number) < len(told.worked.items):
        return told.item(told.worked.items[int(number)])
    say = {
        "pay": told.pay,
        "average": told.average,
        "burden": told.burden,
        "burdened": told.burdened,
        "today": told.today,
        "billable": told.billable_hours,
    }.get(figure)
    return say() if say else None


def _by_shares(labor: LaborClass, currency: str) -> Trace:
    burden = " + ".join([f"{share:f}" for share in labor.burden.values()]) or "0"
    return Trace(
        label=f"{labor.title}: cost of an hour",
        expression="wage × (1 + burden) / billable share of paid hours",
        filled=f"{labor.wage:f} × (1 + {burden}) / {labor.billable:f}",
        result=float(cost_per_hour(labor)),
        unit=f"{currency}/hour",
        source=FROM_FIRM,
    )


class _Telling:
    """Tells one year of pay."""

    def __init__(self, labor: LaborClass, worked: YearCost, currency: str) -> None:
        self.labor, self.worked, self.currency = labor, worked, currency

    def pay(self) -> Trace:
        year, wage = self.labor.year, self.labor.wage
        told, filled = "wage × paid hours", f"{wage:f} × {_text(self.worked.paid_hours)}"
        if year and year.overtime_hours:
            told += " + wage × extra × overtime hours"
            filled += f" + {wage:f} × {year.overtime_extra:f} × {_text(year.overtime_hours)}"
        return self._money("Pay of one person a year", self.worked.pay, told, filled)

    def average(self) -> Trace:
        filled = f"{_text(self.worked.pay)} / {_text(self.worked.paid_hours)}"
        return self._hourly("Pay of a paid hour", self.worked.average_pay, "pay / paid hours", filled, self.pay())

    def burden(self) -> Trace:
        items = tuple(self.item(one) for one in self.worked.items)
        filled = " + ".join(number_text(one.result) for one in items) or "0"
        return self._money("What comes on top, a year", self.worked.burden, "sum of the items", filled, *items)

    def burdened(self) -> Trace:
        worked = self.worked
        filled = f"({_text(worked.pay)} + {_text(worked.burden)}) / {_text(worked.paid_hours)}"
        told = "(pay + what comes on top) / paid hours"
        return self._hourly("Cost of a paid hour", worked.burdened, told, filled, self.pay(), self.burden())

    def today(self) -> Trace:
        items = tuple(self._today(one) for one in self.worked.items)
        filled = " + ".join([_text(self.worked.average_pay), *(number_text(one.result) for one in items)])
        told = "pay of a paid hour + the items that still cost something this year"
        return self._hourly("Cost of a paid hour today", self.worked.today, told, filled, self.average(), *items)

    def item(self, one: ItemCost) -> Trace:
        item, of = one.item, YEAR_BASES[one.item.base]
        told, filled = f"share × {of}", f"{item.share:f} × {_text(one.base)}"
        if item.capped_at:
            year = f" ({item.cap_year})" if item.cap_year else ""
            told, filled = (
                f"share × the first {_text(item.capped_at)}{year} of {of}",
                f"{item.share:f} × {_text(one.counted)}",
            )
        if item.a_year:
            told, filled = f"{told} + paid a year", f"{filled} + {_text(item.a_year)}"
        return self._money(item.title, one.a_year, told, filled, source=item.source or FROM_FIRM)

    def _today(self, one: ItemCost) -> Trace:
        paid = self.labor.year.paid_to_date if self.labor.year else Decimal(0)
        told = (
            f"{_text(paid)} paid this year: above its cap of {_text(one.item.capped_at)}"
            if one.capped
            else "not capped yet"
        )
        return self._hourly(one.item.title, one.today, told, "")

    def billable_hours(self) -> Trace:
        worked = self.worked
        lost = tuple(self._hours(one.title, one.hours, "", "") for one in worked.unbilled)
        filled = " − ".join(_text(one) for one in (worked.paid_hours, *(one.hours for one in worked.unbilled)))
        told = "paid hours − those that no job pays for"
        return self._hours("Hours that jobs pay for, a year", worked.billable_hours, told, filled, *lost)

    def _money(
        self, label: str, amount: Decimal, told: str, filled: str, *steps: Trace, source: str = FROM_FIRM
    ) -> Trace:
        return Trace(
            label=label,
            expression=told,
            filled=filled,
            result=float(amount),
            unit=self.currency,
            source=source,
            steps=steps,
        )

    def _hourly(self, label: str, amount: Decimal, told: str, filled: str, *steps: Trace) -> Trace:
        unit = f"{self.currency}/hour"
        result = float(amount.quantize(Decimal("0.0001")))
        return Trace(
            label=label, expression=told, filled=filled, result=result, unit=unit, source=FROM_FIRM, steps=steps
        )

    def _hours(self, label: str, hours: Decimal, told: str, filled: str, *steps: Trace) -> Trace:
        return Trace(
            label=label,
            expression=told,
            filled=filled,
            result=float(hours),
            unit="hours",
            source=FROM_FIRM,
            steps=steps,
        )


def _text(amount: Decimal) -> str:
    return number_text(float(amount))
