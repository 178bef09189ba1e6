"""A row of a price list read on its own: what it says, and the sentence where it cannot be read."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from functools import partial
from typing import Any

from app.domain.basis import Price
from app.domain.errors import BadValue
from app.domain.pricebook.cells import Money, day_in, money_in, number_in
from app.domain.pricebook.columns import RATES
from app.domain.pricebook.reading import Reading
from app.domain.pricebook.table import Line

LONGEST = {"title": 200, "code": 60, "supplier": 200, "note": 1_000, "pack_name": 40}
MONEY: Mapping[str, str] = {  # columns of money besides the price, and their words in a sentence
    "delivery_cents": "delivery",
    "hour_cents": "an hour's rate",
    "half_day_cents": "half a day's rate",
    "day_cents": "a day's rate",
    "week_cents": "a week's rate",
    "month_cents": "a month's rate",
    "pickup_cents": "pick-up",
    "fuel_cents": "fuel an hour",
    "tip_cents": "tipping",
    "tip_least_cents": "least tipping",
    "small_cents": "the charge for a small order",
    "deposit_cents": "the deposit for a pallet",
}
FUELS: Mapping[str, str] = {
    "in the rate": "in the rate", "included": "in the rate", "incl": "in the rate", "yes": "in the rate",
    "ours": "ours", "not included": "ours", "excl": "ours", "no": "ours", "extra": "ours",
    "none": "none", "electric": "none",
}  # fmt: skip
TIPPED: Mapping[str, str] = {
    "ton": "ton", "tons": "ton", "yard": "yard", "cu yd": "yard", "cubic yard": "yard", "yards": "yard",
    "load": "load", "loads": "load",
}  # fmt: skip
BATCHES = {"one batch", "all from one batch", "yes", "y", "one lot"}


class Verdict(StrEnum):
    """What becomes of a row. The first three are safe; a person decides about the doubtful ones."""

    NEW = "new"
    CHANGED = "changed"
    DETAILS = "details"  # the same price with a newer day, pack, code or the like
    SAME = "same"
    DOUBTFUL = "doubtful"
    UNKNOWN = "not in the book"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A row taken for a material: the whole new price, which of its fields would change, the price before."""

    material: str
    title: str
    buy: str
    price: Price
    apart: tuple[str, ...]
    before: Price | None
    as_is: bool = False  # the units do not convert: the figure would be taken as one per our unit

    @property
    def moved(self) -> float | None:
        """By which share the price moves; None where there was none, or nothing."""
        if self.before is None or not self.before.unit_price:
            return None
        return float(self.price.unit_price / self.before.unit_price) - 1

    @property
    def moved_words(self) -> str:
        """How far the price moves, in words: `+4.7%`; empty where it does not."""
        return "" if self.moved is None or "unit_price" not in self.apart else f"{self.moved:+.1%}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the file and what is thought of it; a safe row has one choice. `why` are sentences."""

    number: int
    title: str
    code: str
    unit: str
    verdict: Verdict
    why: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    supplier: str = ""  # a name the book does not have yet
    role: str = ""
    price: Price | None = None  # as read, where no material is known: per the file's own unit

    @property
    def safe(self) -> bool:
        """Whether it may be taken without a look."""
        return self.verdict in {Verdict.NEW, Verdict.CHANGED, Verdict.DETAILS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """A row's cells understood. `fields` are those of a Price that the row sets, without the price itself."""

    number: int
    material: str
    title: str
    code: str
    unit: str
    money: Money | None
    supplier: str
    role: str
    priced_on: date | None
    fields: Mapping[str, Any] = field(default_factory=dict)

    @property
    def is_let(self) -> bool:
        """Whether the row has rates of hire by the period, which are a price without another."""
        return any(self.fields.get(key) for key in RATES)


def read_line(line: Line, reading: Reading, currency: str) -> Read:
    """A row understood. Raises: BadValue with a sentence that names the cell's column."""
    texts = {key: line.cell(at) for key, at in reading.places.items()}
    over = [cell for cell in line.cells[len(reading.columns) :] if cell]
    if over:
        raise BadValue(f"It has {len(line.cells)} cells, the heading has {len(reading.columns)}. Is a comma astray?")
    for key, most in LONGEST.items():
        if len(texts.get(key, "")) > most:
            raise BadValue(f"Its {key} has {len(texts[key]):,} characters; {most:,} fit.")
    typed = texts.get("unit_price", "")
    money = money_in(typed, comma=reading.comma, currency=currency) if typed else None
    return Read(
        number=line.number,
        material=texts.get("material", ""),
        title=texts.get("title", ""),
        code=texts.get("code", ""),
        unit=texts.get("unit", "") or (money.unit if money else "") or reading.unit,
        money=money,
        supplier=texts.get("supplier", ""),
        role=texts.get("role", ""),
        priced_on=_day(texts, "priced_on", reading),
        fields=_fields(texts, reading),
    )


def _fields(texts: Mapping[str, str], reading: Reading) -> dict[str, Any]:
    found: dict[str, Any] = {key: texts[key] for key in ("code", "pack_name", "note") if texts.get(key)}
    readers: Mapping[str, Callable[[str], Any]] = {
        "pack": lambda text: _bounded("the pack", _number(text, reading), least=0.0001),
        "least": lambda text: _bounded("the smallest order", _number(text, reading)),
        **{key: partial(_cents, reading, words) for key, words in MONEY.items()},
        "fuel": partial(_word, "Fuel", "“in the rate”, “ours” or “none”", FUELS),
        "tip_per": partial(_word, "Tipping", "“ton”, “yard” or “load”", TIPPED),
        "small_below": lambda text: _bounded("a small order", _number(text, reading)),
        "pallet": lambda text: _bounded("a pallet", _number(text, reading)),
        "deposit_lost": lambda text: _bounded("the share", _number(text.strip("% "), reading), most=100) / 100,
        "low": lambda text: -_bounded("the share", _number(text.strip("% "), reading), most=100) / 100 or 0.0,
        "high": lambda text: _bounded("the share", _number(text.strip("% "), reading), most=100) / 100,
        "batch": lambda text: "one batch" if text.casefold() in BATCHES else "",
    }
    found |= {key: read(texts[key]) for key, read in readers.items() if texts.get(key)}
    until = _day(texts, "valid_until", reading) or reading.valid_until
    return {**found, "valid_until": until} if until else found


def _day(texts: Mapping[str, str], key: str, reading: Reading) -> date | None:
    return day_in(texts[key], day_first=reading.day_first) if texts.get(key) else None


def _number(text: str, reading: Reading) -> float:
    return float(number_in(text, comma=reading.comma))


def _cents(reading: Reading, what: str, text: str) -> int:
    return round(_bounded(what, _number(text.strip("$€£ "), reading)) * 100)


def _word(what: str, known: str, meant: Mapping[str, str], text: str) -> str:
    if text.casefold() not in meant:
        raise BadValue(f"{what}: “{text}” was read. Write {known}.")
    return meant[text.casefold()]


def _bounded(what: str, value: float, *, least: float = 0.0, most: float = 1e6) -> float:
    if not least <= value <= most:
        raise BadValue(f"{value:g} is no figure for {what}; it must lie between {least:g} and {most:g}.")
    return value
