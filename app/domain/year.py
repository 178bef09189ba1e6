"""A year of the firm: what it pays although no job asks for it, and what it expects to sell and to spend on jobs."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class OverheadItem:
    """What the firm pays in a year that no job asks for: rent, office, the truck's insurance."""

    title: str
    cents: int = 0
    kind: str = "other"  # key of `OVERHEAD_KINDS`
    carried_by: str = "all"  # "all" direct cost alike, a class of cost, or "hours"


OVERHEAD_KINDS: Mapping[str, str] = {
    "place": "Yard and office",
    "people": "People no job pays for",
    "vehicles": "Trucks and trailers",
    "tools": "Tools and machines not charged to jobs",
    "insurance": "Insurance and licenses",
    "selling": "Being found, selling",
    "office": "Phone, software, bookkeeping",
    "money": "Bank, cards, bad debt",
    "other": "Other",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class YearAhead:
    """What the firm expects of a year: direct cost by class, sales (without tax), hours jobs pay for, how many jobs."""

    direct_cents: Mapping[str, int] = field(default_factory=dict)  # by class of cost
    sales_cents: int = 0
    billable_hours: Decimal = Decimal(0)
    jobs: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """Days on which nobody works, from first to last, both of them."""

    first: date
    last: date
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkCalendar:
    """When the firm works, and with how many crews. Weekdays run from 0, Monday.

    `lost` are working days that bad weather takes in a month ("1" to "12"), on average; empty: as the library has it.
    """

    crews: int = 1
    weekdays: tuple[int, ...] = (0, 1, 2, 3, 4)
    holidays: bool = True  # federal holidays are off
    closed: tuple[Closed, ...] = ()
    lost: Mapping[str, float] = field(default_factory=dict)
