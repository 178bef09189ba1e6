"""How a price list is to be read: which column is what, whose list it is, of which day, how it writes figures."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from app.domain.errors import BadValue
from app.domain.pricebook.cells import writes_comma, writes_day_first
from app.domain.pricebook.columns import COLUMNS, MOSTLY, RATES, SAMPLE, column_of, proposed_columns
from app.domain.pricebook.table import Table
from app.domain.pricebook.units_meant import meanings

DAYS = ("priced_on", "valid_until")
SHORT = 20  # characters: no unit is longer


@dataclass(frozen=True, kw_only=True)
class Reading:
    """`columns` says of each column what it is (empty: nothing of ours).

    `supplier` is a key of the book, `new_supplier` a name it lacks; the days hold for rows that say none.
    """

    columns: tuple[str, ...]
    supplier: str = ""
    new_supplier: str = ""
    priced_on: date | None = None
    valid_until: date | None = None
    comma: bool = False
    day_first: bool = False
    unit: str = ""  # of all prices, where no column says it: taken from the heading

    @cached_property
    def places(self) -> Mapping[str, int]:
        """Where each thing stands."""
        return {key: at for at, key in enumerate(self.columns) if key}


def proposed_reading(table: Table) -> Reading:
    """How a table reads by its headings and contents."""
    sample = [table.column(at)[:SAMPLE] for at in range(len(table.headings))]
    unit_like = [_mostly_units(texts) for texts in sample]
    columns = tuple(proposed_columns(table.headings, sample, unit_like))
    at = {key: place for place, key in enumerate(columns) if key}
    prices = sample[at["unit_price"]] if "unit_price" in at else ()
    days = [text for key in DAYS if key in at for text in sample[at[key]]]
    return Reading(
        columns=columns,
        comma=writes_comma(prices),
        day_first=writes_day_first(days),
        unit=_unit_of_heading(table.headings[at["unit_price"]]) if "unit_price" in at and "unit" not in at else "",
    )


def checked(reading: Reading, table: Table) -> Reading:
    """A reading that can be worked with. Raises: BadValue beside `columns` in a sentence."""
    if len(reading.columns) != len(table.headings):
        raise BadValue("The file has another number of columns than the form. Send the file again.", field="columns")
    named = [key for key in reading.columns if key]
    twice = sorted({key for key in named if named.count(key) > 1})
    if twice:
        raise BadValue(f"Two columns are said to be “{COLUMNS[twice[0]].words}”. Choose one of them.", field="columns")
    if not {"unit_price", *RATES} & set(named):
        raise BadValue("Say which column holds the price.", field="columns")
    if not {"material", "code", "title"} & set(named):
        raise BadValue("Say which column holds the name or the code, or no row can be known again.", field="columns")
    return reading


def _mostly_units(texts: tuple[str, ...]) -> bool:
    short = [text for text in texts if len(text) <= SHORT and meanings(text) and not text.isdigit()]
    return bool(texts) and len(short) >= MOSTLY * len(texts)


def _unit_of_heading(heading: str) -> str:
    """The unit in a heading such as `Price per ton` or `$/sq ft`; empty where it names none."""
    for sign in (" per ", "/"):
        _, _, behind = heading.casefold().partition(sign)
        for words in (behind.strip(" )"), *behind.strip(" )").split()[:1]):
            if words and meanings(words) and column_of(words)[0] != "code":
                return words
    return ""
