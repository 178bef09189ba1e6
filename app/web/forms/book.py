"""The forms of what belongs to the firm: settings, labor, prices, suppliers, materials, tasks."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import CostClass, Firm
from app.domain.costing.tax_rules import TREATMENTS
from app.domain.errors import BadValue, OutlayError
from app.web.forms.composed import lines
from app.web.forms.crew_day import crew_day, seasons
from app.web.forms.fields import Field, Group, Parsed, Texts, choice, count, day, money, read, share, text, yes

ZONES = (
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "Pacific/Honolulu",
)
MOST_MARGIN = Decimal("0.9")
OVERHEAD_CLASSES = tuple(one.value for one in CostClass if one is not CostClass.ALLOWANCE)
MOST_GROUPS = 60  # kinds of work
MOST_BURDEN = 24  # items of one class
PERIOD_RATES = (
    ("hour_cents", "An hour"),
    ("half_day_cents", "Half a day"),
    ("day_cents", "A day"),
    ("week_cents", "A week"),
    ("month_cents", "A month"),
)


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


BOOK: Mapping[str, tuple[Field | Group, ...]] = {
    "firm": (
        text("name", "Name of the firm", required=True),
        text("owner", "Owner", required=True),
        text("license", "License"),
        text("street", "Street"),
        text("town", "Town"),
        text("state", "State"),
        text("postal_code", "Postal code"),
        text("phone", "Phone"),
        text("email", "Email"),
        text("region", "Region"),
        choice("system", "Feet or metric", ["feet", "metric"], required=True),
        choice("paper", "Paper", ["letter", "a4"], required=True),
        choice("time_zone", "Time zone", ZONES, required=True),
        below("margin", "Margin", MOST_MARGIN),
        count("round_to_cents", "Rounding", least=1, most=1_000_000, required=True),
        below("contingency", "Contingency", Decimal(1)),
        below("warranty_reserve", "Warranty reserve", Decimal(1)),
        by_group("warranty_by_group", "Warranty reserve by kind of work"),
        below("deposit_share", "Deposit", Decimal(1)),
        below("order_straight", "Ordered beyond the area, laid straight", Decimal("0.5")),
        below("order_diagonal", "Ordered beyond the area, otherwise", Decimal("0.5")),
        choice("rate_third", "Rates", ["likely", "high"], required=True),
        overhead("overhead"),
        replace(overhead("contingency_by_class"), label="Contingency by class"),
        rate("overhead_per_hour", "Overhead per labor hour", empty=Decimal(0)),
        text("tax_place", "Where the rate holds", most=80),
        day("tax_on", "Rate asked on"),
        tax_by_class("tax_by_class"),
        choice("tax_mode", "Sales tax", ["consumer", "retailer", "none"], required=True),
        below("tax_rate", "Tax rate", Decimal("0.3")),
        choice("card_rule", "Cards", ["absorbed", "passed on", "not taken"]),
        most_share("card_fee", "Fee of a card", Decimal("0.1")),
        most_share("early_pay", "Off for paying early", Decimal("0.2")),
        replace(count("early_pay_days", "Days for paying early", least=1, most=90), empty=10),
        most_share("late_charge", "Charge for paying late", Decimal("0.05")),
        replace(count("late_after_days", "Days until it is late", most=365), empty=30),
        text("pay_checked", "Who said that it is allowed", most=400),
        text("tax_words", "How you know", most=1_000),
        Field(
            name="crew_day_hours",
            label="Hours of a crew day",
            required=True,
            reader=lambda typed, _firm: _day_hours(typed),
        ),
        count("crew_size", "People in a crew", least=1, most=40, required=True),
        crew_day("crew_day"),
        seasons("seasons"),
        money("design_fee_cents", "Design fee", empty=0),
        text("design_words", "What they get", most=4_000),
        count("design_revisions", "Rounds of changes", most=20, required=True),
        yes("design_credit", "Counts toward the build"),
        text("drawings_owner", "Who owns the drawings", most=400),
        lines("standard_exclusions", "What is never included"),
    ),
    "labor_class": (
        text("title", "What they are called", required=True),
        rate("wage", "Wage per paid hour", required=True),
        share("billable", "Billable share", required=True),
        burden("burden"),
    ),
    "price": (
        rate("unit_price", "Price", required=True),
        text("supplier", "Supplier"),
        text("code", "Their code", most=60),
        number("pack", "Units in a pack", least=0.0001, empty=1.0),
        text("pack_name", "What a pack is called", most=40),
        number("least", "Smallest order"),
        choice("batch", "One batch", ["", "one batch"]),
        day("priced_on", "Priced on"),
        day("valid_until", "Good until"),
        signed_share("low", "May be lower by"),
        signed_share("high", "May be higher by"),
        money("delivery_cents", "Delivery", empty=0),
        *[money(name, label, empty=0) for name, label in PERIOD_RATES],
        money("pickup_cents", "Pick-up", empty=0),
        choice("fuel", "Fuel", ["", "in the rate", "ours", "none"]),
        money("fuel_cents", "Fuel, an hour", empty=0),
        money("tip_cents", "Tipping", empty=0),
        choice("tip_per", "Tipping by the", ["", "ton", "yard", "load"]),
        money("tip_least_cents", "Least tipping, a load", empty=0),
        number("small_below", "A small order is below"),
        money("small_cents", "Charge for a small order", empty=0),
        number("pallet", "Units on a pallet"),
        money("deposit_cents", "Deposit for a pallet", empty=0),
        signed_share("deposit_lost", "Pallets that do not come back"),
        replace(count("laid_jobs", "Closed jobs it was laid on", most=999), empty=0),
        share("order_beyond", "Ordered beyond the area then"),
        text("note", "Note", most=1_000),
    ),
    "subcontractor": (
        text("title", "Company", required=True),
        text("trade", "Trade"),
        text("person", "Person"),
        text("phone", "Phone"),
        text("license", "License number"),
        day("insured_until", "Insured until"),
        text("papers", "Papers on file", most=1_000),
        text("note", "Note", most=1_000),
    ),
    "supplier": (
        text("title", "Name", required=True),
        text("phone", "Phone"),
        money("order_least_cents", "An order is small below", empty=0),
        money("order_fee_cents", "Charge for a small order", empty=0),
        yes("shares_loads", "Materials share a truck"),
        text("note", "Note", most=1_000),
    ),
    "material": (
        text("title", "What it is called", required=True),
        text("role", "What it is for", required=True),
        text("buy", "Bought by", required=True),
        choice("cost_class", "Kind of cost", [one.value for one in CostClass], required=True),
        *[
            text(name, label)
            for name, label in (
                ("placed_density", "Density in place"),
                ("coverage", "One bought unit covers"),
                ("thickness", "Thickness"),
                ("length", "Length"),
                ("width", "Width"),
                ("joint", "Joint around it"),
                ("load", "What one delivery carries"),
                ("family", "Color family"),
            )
        ],
        signed_share("loss", "Loss"),
        number("loosens", "Loosens by", least=1.0, most=5.0, empty=1.0),
        count("lead_days", "Days to order ahead", most=365),
        yes("finish", "The client chooses it"),
        choice("tax", "Sales tax", list(TREATMENTS)),
        text("tax_reason", "Why it is taxed so", most=1_000),
        text("words", "In plain words", most=1_000),
        text("source", "Where the figures come from", most=1_000),
    ),
    "task": (
        text("title", "What it is called", required=True),
        text("unit", "Per", required=True),
        hours("hours", "Hours per unit"),
        hours("setup", "Set-up hours per place"),
        text("crew", "Who does it", required=True),
        text("learned_on", "Learned on", most=60),
        replace(count("own_jobs", "Closed jobs of our own", most=999), empty=0),
        text("source", "Where the rate comes from", most=1_000),
    ),
}


def _day_hours(typed: str) -> Decimal:
    value = units.parse_price(typed)
    if not Decimal(1) <= value <= Decimal(16):
        raise BadValue(f"Hours of a crew day: {typed} was typed; it must lie between 1 and 16.")
    return value
