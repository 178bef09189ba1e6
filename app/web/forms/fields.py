"""What a form may hold: each field says how its text is read. Typed text is always kept.

A form is a tuple of fields; `read` gives values (by field name) and errors (sentences by field name). An empty text is
None for a field that is not required.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid4

from starlette.datastructures import FormData, UploadFile

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import BadValue, OutlayError
from app.services.jobs import Order

MOST_TEXT = 20_000  # characters of one text field
Reader = Callable[[str, Firm], Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field: its name in the form and in the value, its label, how its text is read, whether it must be filled."""

    name: str
    label: str
    reader: Reader
    required: bool = False
    empty: Any = None
    many: bool = False  # several values of one name (checkboxes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Several inputs that make one value: all named `NAME.part`; the reader's values hold it under `name`."""

    name: str
    label: str
    reader: "Callable[[FormData, Firm], Parsed]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Parsed:
    """A form as read: values, sentences beside fields, and the texts as typed."""

    values: Mapping[str, Any] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    typed: Mapping[str, str] = field(default_factory=dict)

    @property
    def ok(self) -> bool:
        """Whether everything was understood."""
        return not self.errors

    @property
    def status(self) -> int:
        """The status of the answer this form gets."""
        return 200 if self.ok else 422

    def refused(self, wrong: OutlayError) -> "Parsed":
        """This form with a sentence of a service added, beside its field or on top."""
        return Parsed(
            values=self.values, typed=self.typed, errors={**self.errors, wrong.field or "form": wrong.sentence}
        )


def read(form: FormData, fields: "Iterable[Field | Group]", firm: Firm, *, whole: bool = False) -> Parsed:
    """Read the fields that the form holds; a field that was not sent stays out of the values.

    A `whole` form (of a thing that is made) counts what was not sent as empty.
    """
    values: dict[str, Any] = {}
    errors: dict[str, str] = {}
    typed: dict[str, str] = {}
    for one in fields:
        if isinstance(one, Group):
            if any(key.startswith(f"{one.name}.") for key in form):
                _take(one.reader(form, firm), values, errors, typed)
            continue
        if one.many:
            texts = [text for text in form.getlist(one.name) if isinstance(text, str) and text]
            if texts or f"{one.name}.sent" in form:
                typed[one.name] = ", ".join(texts)
                _try(one, lambda one=one, texts=texts: tuple(one.reader(t, firm) for t in texts), values, errors)  # type: ignore[misc]
            continue
        raw = form.get(one.name, "" if whole else None)
        if raw is None or isinstance(raw, UploadFile):
            continue
        text = raw[:MOST_TEXT].replace("\r\n", "\n").strip().replace("\x00", "")
        typed[one.name] = text
        if not text and one.required:
            errors[one.name] = f"{one.label} is empty. Type it, then save again."
        elif not text:
            values[one.name] = one.empty
        else:
            _try(one, lambda one=one, text=text: one.reader(text, firm), values, errors)  # type: ignore[misc]
    return Parsed(values=values, errors=errors, typed=typed)


def _take(group: Parsed, values: dict[str, Any], errors: dict[str, str], typed: dict[str, str]) -> None:
    typed.update(group.typed)
    errors.update(group.errors)
    if group.ok:
        values.update(group.values)


def _try(one: Field, reading: Callable[[], Any], values: dict[str, Any], errors: dict[str, str]) -> None:
    try:
        values[one.name] = reading()
    except OutlayError as wrong:
        errors[one.name] = wrong.sentence
    except (ValueError, ArithmeticError):
        errors[one.name] = f"{one.label} cannot be read as typed. Look at it again."


def order_of(form: FormData, what: str) -> Order:
    """Under which id a form changes things, and after which change of this device; a fresh id where none was sent."""
    return Order(
        change_id=as_uuid(str(form.get("change_id", ""))) or uuid4(),
        follows=as_uuid(str(form.get("follows", ""))),
        what=what,
    )


def version_of(form: FormData) -> int:
    """The version a thing was read at; 0 when the form does not say."""
    text = str(form.get("version", ""))
    return int(text) if text.isdigit() and len(text) < 10 else 0


def as_uuid(text: str) -> UUID | None:
    """An id, or None for what is none."""
    try:
        return UUID(text)
    except ValueError:
        return None


def text(name: str, label: str, *, required: bool = False, most: int = 200) -> Field:
    """A line or a paragraph of text."""

    def reader(typed: str, _firm: Firm) -> str:
        if len(typed) > most:
            raise BadValue(f"{label} has {len(typed):,} characters; {most:,} fit. Shorten it.")
        return typed

    return Field(name=name, label=label, reader=reader, required=required, empty="")


def length(name: str, label: str, *, required: bool = False, unit: str = "") -> Field:
    """A length in feet; a bare number takes the unit printed beside the field."""

    def reader(typed: str, firm: Firm) -> float:
        own = unit or ("ft" if firm.system == "feet" else "m")
        return units.parse_length(typed, unit=own, system=firm.system).feet

    return Field(name=name, label=label, reader=reader, required=required)


def area(name: str, label: str, *, required: bool = False) -> Field:
    """An area in square feet."""
    return Field(
        name=name, label=label, required=required, reader=lambda typed, firm: units.parse_area(typed, firm.system)
    )


def slope(name: str, label: str) -> Field:
    """A slope as rise over run."""
    return Field(name=name, label=label, reader=lambda typed, _firm: units.parse_slope(typed))


def money(name: str, label: str, *, required: bool = False, empty: int | None = None) -> Field:
    """Money in cents."""
    return Field(
        name=name, label=label, required=required, empty=empty, reader=lambda typed, _firm: units.parse_money(typed)
    )


def share(name: str, label: str, *, required: bool = False) -> Field:
    """A share, typed in percent, kept as an exact fraction."""
    return Field(name=name, label=label, required=required, reader=lambda typed, _firm: units.parse_share(typed))


def count(name: str, label: str, *, least: int = 0, most: int = 10_000, required: bool = False) -> Field:
    """A whole number."""

    def reader(typed: str, _firm: Firm) -> int:
        number = units.parse_count(typed)
        if not least <= number <= most:
            raise BadValue(f"{label}: {number:,} was typed; it must lie between {least:,} and {most:,}.")
        return number

    return Field(name=name, label=label, reader=reader, required=required)


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
