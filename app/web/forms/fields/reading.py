"""What a form may hold: each field says how its text is read. Typed text is always kept.

A form is a tuple of fields; `read` gives values (by field name) and errors (sentences by field name). An empty text is
None for a field that is not required.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any
from uuid import UUID, uuid4

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm
from app.domain.errors import OutlayError
from app.services.jobs import Order

MOST_TEXT = 20_000  # characters of one text field
LONGEST_FOCUS = 90  # characters: a kind and two ids
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


class Texts(dict[str, str]):
    """Texts by field name; a field without one has None, so that a template may ask for any."""

    def __missing__(self, name: str) -> None:
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Several inputs that make one value, all named `NAME.part`, or one input `NAME` that makes several values."""

    name: str
    label: str
    reader: "Callable[[FormData, Firm], Parsed]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Parsed:
    """A form as read: values, sentences beside fields, and the texts as typed."""

    values: Mapping[str, Any] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=Texts)
    typed: Mapping[str, str] = field(default_factory=Texts)
    understood: Mapping[str, str] = field(default_factory=Texts)  # how a length, area or slope was read, to show back

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
        return replace(self, errors=Texts({**self.errors, wrong.field or "form": wrong.sentence}))


class _Reading:
    """What is gathered while a form is read."""

    def __init__(self, firm: Firm) -> None:
        self.firm = firm
        self.values: dict[str, Any] = {}
        self.errors = Texts()
        self.typed = Texts()
        self.understood = Texts()

    def take(self, one: Field, texts: Sequence[str]) -> None:
        """Read the texts of a field; a refusal becomes the sentence beside it."""
        try:
            found = [one.reader(typed, self.firm) for typed in texts]
        except OutlayError as wrong:
            self.errors[one.name] = wrong.sentence
        except (ValueError, ArithmeticError):
            self.errors[one.name] = f"{one.label} cannot be read as typed. Look at it again."
        else:
            if not one.many and isinstance(found[0], units.Typed | units.TypedNumber):
                self.understood[one.name] = found[0].understood
            self.values[one.name] = tuple(found) if one.many else _bare(found[0])

    def take_group(self, group: Parsed) -> None:
        """Add what a group of inputs gave."""
        self.typed.update(group.typed)
        self.errors.update(group.errors)
        self.understood.update(group.understood)
        if group.ok:
            self.values.update(group.values)

    def take_line(self, one: Field, raw: str) -> None:
        """Read one text input; an empty one is the field's empty value unless it must be filled."""
        typed = raw[:MOST_TEXT].replace("\r\n", "\n").strip().replace("\x00", "")
        self.typed[one.name] = typed
        if typed:
            self.take(one, [typed])
        elif one.required:
            self.errors[one.name] = f"{one.label} is empty. Type it, then save again."
        else:
            self.values[one.name] = one.empty


def read(form: FormData, fields: "Iterable[Field | Group]", firm: Firm, *, whole: bool = False) -> Parsed:
    """Read the fields that the form holds; a field that was not sent stays out of the values.

    A `whole` form (of a thing that is made) counts what was not sent as empty.
    """
    reading = _Reading(firm)
    for one in fields:
        if isinstance(one, Group):
            if one.name in form or any(key.startswith(f"{one.name}.") for key in form):
                reading.take_group(one.reader(form, firm))
        elif one.many:
            texts = [text for text in form.getlist(one.name) if isinstance(text, str) and text]
            if texts or f"{one.name}.sent" in form:
                reading.typed[one.name] = ", ".join(texts)
                reading.take(one, texts)
        else:
            raw = form.get(one.name, "" if whole else None)
            if isinstance(raw, str):
                reading.take_line(one, raw)
    return Parsed(values=reading.values, errors=reading.errors, typed=reading.typed, understood=reading.understood)


def _bare(found: Any) -> Any:
    """The number of a typed amount; anything else as it is."""
    if isinstance(found, units.Typed):
        return found.feet
    return found.value if isinstance(found, units.TypedNumber) else found


def order_of(form: FormData, what: str) -> Order:
    """Under which id a form changes things, and after which change of this device; a fresh id where none was sent."""
    return Order(
        change_id=as_uuid(str(form.get("change_id", ""))) or uuid4(),
        follows=as_uuid(str(form.get("follows", ""))),
        what=what,
    )


def order_as_read(form: FormData, what: str) -> Order:
    """The order of a form that is of one thing, at the version it was read at."""
    return replace(order_of(form, what), read_at=version_of(form))


def version_of(form: FormData) -> int:
    """The version a thing was read at; 0 when the form does not say."""
    return max(whole_number(form, "version"), 0)


def whole_number(form: FormData, name: str) -> int:
    """A number that the page itself put into its form, never typed; -1 where it is none, 0 where it is not there."""
    text = str(form.get(name, "")) or "0"
    return int(text) if text.isdecimal() and len(text) < 10 else -1


def focus_of(form: FormData) -> str:
    """The margin note that stays open, as the form says."""
    return str(form.get("focus", ""))[:LONGEST_FOCUS]


def as_uuid(text: str) -> UUID | None:
    """An id, or None for what is none."""
    try:
        return UUID(text)
    except ValueError:
        return None
