"""How people are paid: a year of one person, with what comes on top item by item, and what a crew's paid day goes to.

Only the values; `costing.pay_year` and `costing.crew_day` work them out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class BurdenItem:
    """What an employer pays on top of pay: a share of its base up to a cap, and what is paid a year whatever the pay.

    `base` is all pay with the extra of overtime ("pay"), or the base wage for every paid hour ("wage").
    """

    title: str
    share: Decimal = Decimal(0)
    base: Literal["pay", "wage"] = "pay"
    capped_at: Decimal = Decimal(0)  # of the base, a person a year, whole money; 0: no cap
    cap_year: int = 0  # the year that cap is of; 0: it stays from year to year, or is not known
    a_year: Decimal = Decimal(0)  # a person a year besides, whole money
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnbilledHours:
    """Paid hours a year that no job pays for. `in_day`: those that a crew's day on a job may count by itself."""

    title: str
    hours: Decimal = Decimal(0)
    in_day: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PayYear:
    """A year of one person of a class: paid hours, overtime in them, items on top, hours that nobody is billed for."""

    paid_hours: Decimal = Decimal(2080)  # all that are paid, with overtime and leave
    overtime_hours: Decimal = Decimal(0)  # those of them beyond the week's
    overtime_extra: Decimal = Decimal("0.5")  # on the wage of an overtime hour
    items: tuple[BurdenItem, ...] = ()
    unbilled: tuple[UnbilledHours, ...] = ()
    paid_to_date: Decimal = Decimal(0)  # pay this year so far, a person, whole money


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewDay:
    """What goes off a paid day of the crew before any work is done, who is in the crew, and how a week is paid."""

    loading: Decimal = Decimal(0)  # hours a day at the yard, morning and evening together
    driving: Decimal = Decimal(0)  # minutes one way, where a site does not say
    cleanup: Decimal = Decimal(0)  # hours at the end of each day
    people: Mapping[str, int] = field(default_factory=dict)  # labor class → how many; none: by head, at the work's mean
    days_a_week: int = 5
    week_hours: Decimal = Decimal(40)  # beyond them an hour is overtime
    overtime_extra: Decimal = Decimal(0)  # on the wage of an overtime hour; 0: the firm pays none
