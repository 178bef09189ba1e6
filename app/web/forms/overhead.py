"""The form of the overhead worksheet: items a year, the year ahead, the method."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm
from app.domain.costing.overhead import ALL, CLASSES, HOURS
from app.domain.errors import BadValue
from app.domain.year import OVERHEAD_KINDS, OverheadItem, YearAhead
from app.web.forms.fields import Field, Group, Parsed, Texts, choice, count, money, read, text

MOST_ITEMS = 40
CARRIED_BY = (ALL, HOURS, *CLASSES)
MOST_HOURS = Decimal(1_000_000)


def _hours(typed: str, _firm: Firm) -> Decimal:
    value = units.parse_price(typed.removesuffix("h"))
    if value > MOST_HOURS:
        raise BadValue(f"Hours of a year: {typed} was typed; {MOST_HOURS:,} is the most.")
    return value


def _items(form: FormData, firm: Firm) -> Parsed:
    """Rows `items.N.title|cents|kind|carried_by`; a row without money is left out, one without a name is refused."""
    parsed = Parsed(errors=Texts(), typed=Texts())
    found: list[OverheadItem] = []
    for n in range(MOST_ITEMS):
        row = read(form, _row(f"items.{n}"), firm)
        parsed = replace(
            parsed, errors=Texts({**parsed.errors, **row.errors}), typed=Texts({**parsed.typed, **row.typed})
        )
        given: Mapping[str, Any] = {name.rpartition(".")[2]: value for name, value in row.values.items()}
        if given.get("cents"):
            if given.get("title"):
                found.append(OverheadItem(**given))
            elif "title" in given:
                parsed.errors[f"items.{n}.title"] = "Say what this money is for."  # type: ignore[index]
    return replace(parsed, values={"overhead_items": tuple(found)})


def _row(at: str) -> tuple[Field, ...]:
    return (
        text(f"{at}.title", "Item", most=80),
        money(f"{at}.cents", "Money a year", empty=0),
        choice(f"{at}.kind", "Kind", list(OVERHEAD_KINDS), empty="other"),
        choice(f"{at}.carried_by", "Carried by", CARRIED_BY, empty=ALL),
    )


def _year(form: FormData, firm: Firm) -> Parsed:
    """Inputs `year.sales`, `year.hours`, `year.jobs` and `year.direct.CLASS`."""
    classes = [money(f"year.direct.{one}", f"Direct cost of {one}", empty=0) for one in CLASSES]
    more = (
        money("year.sales", "Sales", empty=0),
        Field(name="year.hours", label="Hours jobs pay for", reader=_hours, empty=Decimal(0)),
        replace(count("year.jobs", "Jobs a year", most=10_000), empty=0),
    )
    parsed = read(form, (*classes, *more), firm)
    if not parsed.ok:
        return parsed
    values = parsed.values
    year = YearAhead(
        direct_cents={one: values[f"year.direct.{one}"] for one in CLASSES if values.get(f"year.direct.{one}")},
        sales_cents=values.get("year.sales", 0),
        billable_hours=values.get("year.hours", Decimal(0)),
        jobs=values.get("year.jobs", 0),
    )
    return replace(parsed, values={"year": year})


WORKSHEET = (
    Group(name="items", label="Items", reader=_items),
    Group(name="year", label="Year", reader=_year),
    choice("overhead_method", "Method", ["class", "hour", "both"], required=True),
)
