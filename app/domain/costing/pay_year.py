"""What an hour costs, from a year of pay: each item on its own base and up to its cap, over the hours jobs pay for."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from app.domain.basis import LaborClass
from app.domain.errors import BadValue
from app.domain.money import cents
from app.domain.pay import BurdenItem, PayYear, UnbilledHours

HOURS_OF_A_YEAR = Decimal(8784)
LEAVE = "paid leave"  # a share of the wage where there is no year of pay
REST = "Yard, loading and driving"


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemCost:
    """One item over the year [whole money a person] and today [whole money a paid hour].

    `base` is what the share is taken of before its cap, `counted` after it; `capped` says that it costs nothing more
    this year.
    """

    item: BurdenItem
    base: Decimal
    counted: Decimal
    a_year: Decimal
    today: Decimal
    capped: bool

    @property
    def cents(self) -> int:
        """What it costs a year."""
        return cents(self.a_year)


@dataclass(frozen=True, slots=True, kw_only=True)
class YearCost:
    """A year of one person worked out: whole money, hours. What prices is `per_hour`, the year's average."""

    wage_pay: Decimal  # the base wage for every paid hour
    pay: Decimal  # with the extra of overtime
    items: tuple[ItemCost, ...]
    paid_hours: Decimal
    unbilled: tuple[UnbilledHours, ...]  # those that count here
    billable_hours: Decimal

    @property
    def burden(self) -> Decimal:
        """All items together [a year]."""
        return sum((one.a_year for one in self.items), Decimal(0))

    @property
    def burden_share(self) -> Decimal:
        """All items together as a share of pay; nothing where there is no pay."""
        return self.burden / self.pay if self.pay else Decimal(0)

    @property
    def average_pay(self) -> Decimal:
        """Pay of a paid hour."""
        return self.pay / self.paid_hours

    @property
    def burdened(self) -> Decimal:
        """What a paid hour costs the firm, over the year."""
        return (self.pay + self.burden) / self.paid_hours

    @property
    def today(self) -> Decimal:
        """What a paid hour costs as the year stands, without the items that have reached their cap."""
        return self.average_pay + sum((one.today for one in self.items), Decimal(0))

    @property
    def billable(self) -> Decimal:
        """The share of the paid hours that jobs pay for."""
        return self.billable_hours / self.paid_hours

    @property
    def per_hour(self) -> Decimal:
        """What an hour that a job pays for costs, over the year."""
        return (self.pay + self.burden) / self.billable_hours

    @property
    def per_hour_today(self) -> Decimal:
        """The same as the year stands: for knowing, not for pricing."""
        return self.today / self.billable


def year_cost(wage: Decimal, year: PayYear, *, day_counts: bool = False) -> YearCost:
    """A year of one person at a wage [whole money an hour] worked out.

    `day_counts`: yard, loading and driving are paid for by the days of the jobs, so they are not taken off here again.
    Raises: BadValue for hours that leave none to bill.

    >>> item = BurdenItem(title="Federal unemployment", share=Decimal("0.006"), capped_at=Decimal(7000))
    >>> year_cost(Decimal(20), PayYear(items=(item,))).items[0].a_year
    Decimal('42.000')
    """
    check_year(year)
    wage_pay = wage * year.paid_hours
    pay = wage_pay + wage * year.overtime_extra * year.overtime_hours
    unbilled = tuple(one for one in year.unbilled if not (day_counts and one.in_day))
    return YearCost(
        wage_pay=wage_pay,
        pay=pay,
        items=tuple(_item(one, pay if one.base == "pay" else wage_pay, year) for one in year.items),
        paid_hours=year.paid_hours,
        unbilled=unbilled,
        billable_hours=year.paid_hours - _sum(unbilled),
    )


def _item(item: BurdenItem, base: Decimal, year: PayYear) -> ItemCost:
    counted = min(base, item.capped_at) if item.capped_at else base
    capped = bool(item.capped_at) and year.paid_to_date >= item.capped_at
    live = Decimal(0) if capped else item.share * base
    return ItemCost(
        item=item,
        base=base,
        counted=counted,
        a_year=counted * item.share + item.a_year,
        today=(live + item.a_year) / year.paid_hours,
        capped=capped,
    )


def check_year(year: PayYear) -> None:
    """Refuse hours that cannot be. Raises: BadValue, naming the input."""
    if not 0 < year.paid_hours <= HOURS_OF_A_YEAR:
        told = f"{year.paid_hours:f} paid hours a year were typed; more than none, {HOURS_OF_A_YEAR} at most."
        raise BadValue(told, field="paid_hours")
    if year.overtime_hours > year.paid_hours:
        raise BadValue(
            "There are more overtime hours than paid hours; overtime is a part of them.", field="overtime_hours"
        )
    lost = _sum(year.unbilled)
    if lost >= year.paid_hours:
        told = f"The hours that nobody is billed for come to {lost:f} of {year.paid_hours:f}: none is left for a job."
        raise BadValue(told, field="unbilled")


def outdated_caps(year: PayYear, this_year: int) -> tuple[BurdenItem, ...]:
    """Items whose cap is of an earlier year than this one: the law may have moved it since."""
    return tuple(one for one in year.items if one.capped_at and 0 < one.cap_year < this_year)


def fits(year: PayYear) -> bool:
    """Whether a year leaves hours to bill."""
    lost = _sum(year.unbilled)
    return 0 <= lost < year.paid_hours <= HOURS_OF_A_YEAR and year.overtime_hours <= year.paid_hours


def starting_year(labor: LaborClass, usual: PayYear) -> PayYear:
    """A year to begin from: the usual items and hours, with what the class has of its own.

    A usual item without a share or a sum takes the class's own share; those that the class does not have are left out,
    as is paid leave, whose hours are counted here. What is left of the unbilled share, and of the share for paid leave,
    goes to the yard and the road.
    """
    own = {name.casefold(): share for name, share in labor.burden.items()}
    named = {one.title.casefold() for one in usual.items}
    kept = [_begun(one, own[one.title.casefold()]) for one in usual.items if one.title.casefold() in own]
    kept += [
        BurdenItem(title=name.capitalize(), share=share, base="wage")
        for name, share in labor.burden.items()
        if name.casefold() not in named and name.casefold() != LEAVE
    ]
    day = [one for one in usual.unbilled if one.in_day]
    others = tuple(one for one in usual.unbilled if not one.in_day)
    rest = usual.paid_hours * (1 - labor.billable + own.get(LEAVE, Decimal(0))) - _sum(others)
    road = replace(
        day[0] if day else UnbilledHours(title=REST, in_day=True), hours=max(Decimal(0), rest.quantize(Decimal(1)))
    )
    return replace(usual, items=tuple(kept), unbilled=(*others, road))


def _begun(usual: BurdenItem, share: Decimal) -> BurdenItem:
    return usual if usual.share or usual.a_year else replace(usual, share=share)


def _sum(hours: Iterable[UnbilledHours]) -> Decimal:
    return sum((one.hours for one in hours), Decimal(0))
