"""A year of overhead: the rates that recover it, what rates bring in, and the sales and hours at which it is paid.

Overhead is what the firm pays although no job asks for it. A rate recovers it when the rate times a year's base (direct
cost of a class, hours that jobs pay for) comes to the year's overhead. Rates are rounded up, to 0.01% and to a cent an
hour, so what they bring in is never short of what was asked, and what is over is told.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from math import ceil

from app.domain.basis import CostClass, Firm
from app.domain.errors import BadValue
from app.domain.money import cents
from app.domain.year import OverheadItem, YearAhead

CLASSES = tuple(one.value for one in CostClass if one is not CostClass.ALLOWANCE)
WORKED = (CostClass.LABOR.value, CostClass.OWN_HOURS.value)  # the classes that hours are paid in
ALL, HOURS = "all", "hours"
SHARE_STEP, RATE_STEP = Decimal("0.0001"), Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Overhead as shares of direct cost by class, and per hour [whole money]."""

    by_class: Mapping[str, Decimal]
    per_hour: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """Where sales pay for cost and overhead and nothing is left; hours and jobs are None where none are expected."""

    contribution: Decimal  # what of a sale is left after direct cost, as a share
    sales_cents: int
    hours: Decimal | None
    jobs: Decimal | None


def yearly_cents(items: Iterable[OverheadItem]) -> int:
    """The year's overhead [cents]."""
    return sum(one.cents for one in items)


def recovering_rates(firm: Firm) -> Rates:
    """The rates that recover the firm's year of overhead by its method.

    `class`: everything as shares of direct cost; what hours carry goes on labor and own hours. `hour`: everything per
    hour. `both`: what hours carry per hour, the rest as shares. Raises: BadValue where a base it needs is missing.

    >>> rent = OverheadItem(title="Rent", cents=3_000_000)
    >>> year = YearAhead(direct_cents={"material": 20_000_000, "labor": 10_000_000})
    >>> recovering_rates(Firm(overhead_items=(rent,), year=year)).by_class["labor"]
    Decimal('0.1000')
    """
    year = firm.year or YearAhead()
    by_class: dict[str, Decimal] = {}
    per_hour = Decimal(0)
    for carried_by, carried in _carried(firm).items():
        if carried_by == HOURS:
            per_hour += _per_hour(carried, year)
        else:
            classes = CLASSES if carried_by == ALL else WORKED if carried_by == "work" else (carried_by,)
            share = _share(carried, carried_by, classes, year)
            for one in classes:
                by_class[one] = by_class.get(one, Decimal(0)) + share
    rounded = {one: share.quantize(SHARE_STEP, ROUND_CEILING) for one, share in by_class.items() if share}
    return Rates(by_class=rounded, per_hour=per_hour.quantize(RATE_STEP, ROUND_CEILING))


def _carried(firm: Firm) -> Mapping[str, int]:
    """The year's overhead by what carries it, as the method has it; `work` is labor and own hours."""
    carried: dict[str, int] = {}
    for one in firm.overhead_items:
        by = one.carried_by
        if firm.overhead_method == "hour":
            by = HOURS
        elif firm.overhead_method == "class" and by == HOURS:
            by = "work"
        if one.cents:
            carried[by] = carried.get(by, 0) + one.cents
    return carried


def _per_hour(carried: int, year: YearAhead) -> Decimal:
    if year.billable_hours <= 0:
        raise BadValue("Overhead goes by the hour, and the year has no hours that jobs pay for. Type how many.")
    return Decimal(carried) / 100 / year.billable_hours


def _share(carried: int, carried_by: str, classes: Iterable[str], year: YearAhead) -> Decimal:
    base = sum(year.direct_cents.get(one, 0) for one in classes)
    if base > 0:
        return Decimal(carried) / base
    what = {ALL: "any class", "work": "labor"}.get(carried_by, carried_by)
    raise BadValue(f"The year expects no direct cost of {what}, so it can carry no overhead. Type what you expect.")


def brought_in_cents(rates: Rates, year: YearAhead) -> int:
    """What rates bring in on a year's direct cost and hours [cents]."""
    by_class = sum(
        (Decimal(year.direct_cents.get(one, 0)) * share for one, share in rates.by_class.items()), Decimal(0)
    )
    return cents((by_class + rates.per_hour * 100 * year.billable_hours) / 100)


def firm_rates(firm: Firm) -> Rates:
    """The rates the firm prices by now."""
    return Rates(by_class={one: firm.overhead.get(one, Decimal(0)) for one in CLASSES}, per_hour=firm.overhead_per_hour)


def direct_total_cents(year: YearAhead) -> int:
    """The year's direct cost [cents], allowances not in it."""
    return sum(year.direct_cents.get(one, 0) for one in CLASSES)


def profit_cents_of(firm: Firm) -> int:
    """What a year leaves after direct cost and overhead [cents]; below 0 a loss."""
    year = firm.year or YearAhead()
    return year.sales_cents - direct_total_cents(year) - yearly_cents(firm.overhead_items)


def break_even(firm: Firm) -> BreakEven:
    """The sales, hours and jobs at which the year's overhead is just paid: overhead ÷ what each of them leaves.

    Raises: BadValue where sales are missing, or do not come to more than direct cost.
    Source: break-even = fixed cost ÷ contribution ratio (common accounting).
    """
    year = firm.year or YearAhead()
    left = year.sales_cents - direct_total_cents(year)
    if left <= 0:
        raise BadValue("Sales of the year must come to more than its direct cost; else no sale pays any overhead.")
    share = Decimal(left) / year.sales_cents
    overhead = yearly_cents(firm.overhead_items)
    portion = Decimal(overhead) / left
    return BreakEven(
        contribution=share,
        sales_cents=ceil(Decimal(year.sales_cents) * portion),
        hours=year.billable_hours * portion if year.billable_hours else None,
        jobs=year.jobs * portion if year.jobs else None,
    )


def sales_at_margin_cents(firm: Firm) -> int:
    """What the year's direct cost and overhead sell for at the firm's margin [cents]."""
    cost = direct_total_cents(firm.year or YearAhead()) + yearly_cents(firm.overhead_items)
    return cents(Decimal(cost) / (1 - firm.margin) / 100) if firm.margin < 1 else 0
