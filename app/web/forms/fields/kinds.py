"""The kinds of fields: a text, a length, money, a day, one of a list, another thing."""

from collections.abc import Iterable
from decimal import Decimal
from uuid import UUID

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.web.forms.fields.reading import Field, as_uuid


def text(name: str, label: str, *, required: bool = False, most: int = 200) -> Field:
    """A line or a paragraph of text."""

    def reader(typed: str, _firm: Firm) -> str:
        if len(typed) > most:
            raise BadValue(f"{label} has {len(typed):,} characters; {most:,} fit. Shorten it.")
        return typed

    return Field(name=name, label=label, reader=reader, required=required, empty="")


def length(name: str, label: str, *, required: bool = False, signed: bool = False, empty: float | None = None) -> Field:
    """A length in feet; a bare number takes the unit printed beside the field. A `signed` one may be negative."""

    def reader(typed: str, firm: Firm) -> units.Typed:
        return units.parse_length(typed, system=firm.system, signed=signed)

    return Field(name=name, label=label, reader=reader, required=required, empty=empty)


def working_days(name: str, label: str) -> Field:
    """Working days of an activity, halves too: from a tenth of one to a year of them."""

    def reader(typed: str, _firm: Firm) -> float:
        try:
            found = float(typed.lower().removesuffix("days").removesuffix("day").strip().replace(",", "."))
        except ValueError:
            raise BadValue(f"{label}: “{typed}” is no number of days. Type 2 or 1.5.") from None
        if not 0.1 <= found <= 260:
            raise BadValue(f"{label}: {found:g} was typed; it must lie between 0.1 and 260.")
        return found

    return Field(name=name, label=label, required=True, reader=reader)


def no_more(name: str, label: str, most: float) -> Field:
    """A length of at most so many feet."""

    def reader(typed: str, firm: Firm) -> units.Typed:
        found = units.parse_length(typed, system=firm.system)
        if found.feet > most:
            limit = units.format_length(most, firm.system)
            raise BadValue(f"{label}: {units.format_length(found.feet, firm.system)} is too much, {limit} at most.")
        return found

    return Field(name=name, label=label, reader=reader)


def area(name: str, label: str, *, required: bool = False) -> Field:
    """An area in square feet."""
    return Field(
        name=name,
        label=label,
        required=required,
        reader=lambda typed, firm: units.parse_area(typed, system=firm.system),
    )


def slope(name: str, label: str) -> Field:
    """A slope as rise over run."""
    return Field(name=name, label=label, reader=lambda typed, firm: units.parse_slope(typed, system=firm.system))


def money(name: str, label: str, *, required: bool = False, empty: int | None = None) -> Field:
    """Money in cents."""
    return Field(
        name=name, label=label, required=required, empty=empty, reader=lambda typed, _firm: units.parse_money(typed)
    )


def share(name: str, label: str, *, required: bool = False, empty: Decimal | None = None) -> Field:
    """A share, typed in percent, kept as an exact fraction."""
    return Field(
        name=name, label=label, required=required, empty=empty, reader=lambda typed, _firm: units.parse_share(typed)
    )


def count(
    name: str, label: str, *, least: int = 0, most: int = 10_000, required: bool = False, empty: int | None = None
) -> Field:
    """A whole number."""

    def reader(typed: str, _firm: Firm) -> int:
        number = units.parse_count(typed)
        if not least <= number <= most:
            raise BadValue(f"{label}: {number:,} was typed; it must lie between {least:,} and {most:,}.")
        return number

    return Field(name=name, label=label, reader=reader, required=required, empty=empty)


def day(name: str, label: str, *, required: bool = False) -> Field:
    """A day."""
    return Field(name=name, label=label, required=required, reader=lambda typed, _firm: units.parse_day(typed))


def choice(name: str, label: str, options: Iterable[str], *, required: bool = False, empty: str | None = "") -> Field:
    """One of a list."""
    known = tuple(options)

    def reader(typed: str, _firm: Firm) -> str:
        if typed not in known:
            raise BadValue(f"{label}: choose one of the list.")
        return typed

    return Field(name=name, label=label, reader=reader, required=required, empty=empty)


def yes(name: str, label: str) -> Field:
    """A tick; the form must also send `NAME` empty for no."""
    return Field(name=name, label=label, reader=lambda typed, _firm: typed in {"1", "on", "yes", "true"}, empty=False)


def some(name: str, label: str, options: Iterable[str]) -> Field:
    """Any of a list (checkboxes); the form sends `NAME.sent` so that none ticked is known from not asked."""
    one = choice(name, label, options)
    return Field(name=name, label=label, reader=one.reader, empty=(), many=True)


def keys(name: str, label: str) -> Field:
    """Several keys of the book (checkboxes); the form sends `NAME.sent` so that none ticked is known from not asked."""
    return Field(name=name, label=label, reader=lambda typed, _firm: typed[:80], empty=(), many=True)


def thing(name: str, label: str, *, required: bool = False) -> Field:
    """Another thing, by id."""

    def reader(typed: str, _firm: Firm) -> UUID:
        found = as_uuid(typed)
        if found is None:
            raise BadValue(f"{label}: choose one of the list.")
        return found

    return Field(name=name, label=label, reader=reader, required=required)


def things(name: str, label: str) -> Field:
    """Several things by id (checkboxes)."""
    one = thing(name, label)
    return Field(name=name, label=label, reader=one.reader, empty=(), many=True)
