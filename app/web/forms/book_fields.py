"""How the fields of the firm's own things are read: rates, shares, hours, and groups of them."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import CostClass, Firm
from app.domain.costing.tax_rules import TREATMENTS
from app.domain.errors import BadValue, OutlayError
from app.web.forms.fields import Field, Group, Parsed, Texts, choice, read, share

OVERHEAD_CLASSES = tuple(one.value for one in CostClass if one is not CostClass.ALLOWANCE)
MOST_GROUPS = 60  # kinds of work
MOST_BURDEN = 24  # items of one class


def rate(name: str, label: str, *, required: bool = False, empty: Decimal | None = None) -> Field:
    """A price per unit, to 1/10,000."""
    return Field(
        name=name, label=label, required=required, empty=empty, reader=lambda typed, _firm: units.parse_price(typed)
    )


def below(name: str, label: str, most: Decimal) -> Field:
    """A share that must be given and stay at or below a bound."""
    one = share(name, label, required=True)

    def reader(typed: str, firm: Firm) -> Any:
        value = one.reader(typed, firm)
        if value > most:
            raise BadValue(f"{label}: {typed} was typed; {(most * 100).normalize():f}% is the most.")
        return value

    return Field(name=name, label=label, reader=reader, required=True)


def most_share(name: str, label: str, most: Decimal) -> Field:
    """A share up to a bound; left empty it is nothing."""
    return replace(below(name, label, most), required=False, empty=Decimal(0))


def number(name: str, label: str, *, least: float = 0.0, most: float = 1e6, empty: float = 0.0) -> Field:
    """A plain number between two bounds."""

    def reader(typed: str, _firm: Firm) -> float:
        value = float(units.parse_price(typed))
        if not least <= value <= most:
            raise BadValue(f"{label}: {typed} was typed; it must lie between {least:g} and {most:g}.")
        return value

    return Field(name=name, label=label, reader=reader, empty=empty)


def signed_share(name: str, label: str) -> Field:
    """A share that may be below zero, kept as a plain number: `-5%` is -0.05."""
    one = share(name, label)

    def reader(typed: str, firm: Firm) -> float:
        plain = typed.replace("−", "-").strip()
        below_zero = plain.startswith("-")
        return float(one.reader(plain.lstrip("+-"), firm)) * (-1 if below_zero else 1)

    return Field(name=name, label=label, reader=reader, empty=0.0)


def hours(name: str, label: str) -> Group:
    """Low, likely and high hours: inputs `NAME.low`, `NAME.likely`, `NAME.high`."""

    def reader(form: FormData, _firm: Firm) -> Parsed:
        found: list[float] = []
        errors, typed = Texts(), Texts()
        for part in ("low", "likely", "high"):
            key = f"{name}.{part}"
            typed[key] = str(form.get(key, "")).strip()
            try:
                found.append(float(units.parse_price(typed[key] or "0")))
            except OutlayError as wrong:
                errors[key] = wrong.sentence
        return Parsed(values={name: tuple(found)} if not errors else {}, errors=errors, typed=typed)

    return Group(name=name, label=label, reader=reader)


def _shares(name: str, pairs: Callable[[FormData], list[tuple[str, str, str]]]) -> Callable[[FormData, Firm], Parsed]:
    """A reader of named shares: `pairs` gives (input, item, typed share); an empty share leaves the item out."""

    def reader(form: FormData, firm: Firm) -> Parsed:
        found: dict[str, Decimal] = {}
        errors, typed = Texts(), Texts()
        for key, item, given in pairs(form):
            typed[key] = given
            if not given or not item:
                continue
            try:
                found[item] = share(key, item).reader(given, firm)
            except OutlayError as wrong:
                errors[key] = wrong.sentence
        return Parsed(values={name: found} if not errors else {}, errors=errors, typed=typed)

    return reader


def overhead(name: str) -> Group:
    """A share of direct cost by class: inputs `NAME.CLASS`."""

    def pairs(form: FormData) -> list[tuple[str, str, str]]:
        return [(f"{name}.{one}", one, str(form.get(f"{name}.{one}", "")).strip()) for one in OVERHEAD_CLASSES]

    return Group(name=name, label="Overhead", reader=_shares(name, pairs))


def by_group(name: str, label: str) -> Group:
    """A share by kind of work: inputs `NAME.KIND`; an empty one goes by the usual share."""

    def pairs(form: FormData) -> list[tuple[str, str, str]]:
        before = f"{name}."
        keys = [key for key in form if key.startswith(before)][:MOST_GROUPS]
        return [(key, key.removeprefix(before)[:60], str(form.get(key, "")).strip()) for key in keys]

    return Group(name=name, label=label, reader=_shares(name, pairs))


def tax_by_class(name: str) -> Group:
    """How each class of cost is treated for sales tax: inputs `NAME.CLASS`; an empty one says nothing."""

    def reader(form: FormData, firm: Firm) -> Parsed:
        parsed = read(form, [choice(f"{name}.{one}", one, list(TREATMENTS)) for one in OVERHEAD_CLASSES], firm)
        if not parsed.ok:
            return parsed
        said = {one: parsed.values.get(f"{name}.{one}", "") for one in OVERHEAD_CLASSES}
        return replace(parsed, values={name: {one: how for one, how in said.items() if how}})

    return Group(name=name, label="Sales tax by class", reader=reader)


def burden(name: str) -> Group:
    """Items of burden: inputs `NAME.N.item` and `NAME.N.share`."""

    def pairs(form: FormData) -> list[tuple[str, str, str]]:
        return [
            (
                f"{name}.{n}.share",
                str(form.get(f"{name}.{n}.item", "")).strip()[:60],
                str(form.get(f"{name}.{n}.share", "")).strip(),
            )
            for n in range(MOST_BURDEN)
        ]

    return Group(name=name, label="Burden", reader=_shares(name, pairs))


def day_hours(typed: str) -> Decimal:
    """Paid hours of one person's day, 1 to 16. Raises: BadValue."""
    value = units.parse_price(typed)
    if not Decimal(1) <= value <= Decimal(16):
        raise BadValue(f"Hours of a crew day: {typed} was typed; it must lie between 1 and 16.")
    return value
