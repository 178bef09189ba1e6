"""What a column of a price list is: proposed by its heading, else by what stands in it. A person may say otherwise."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

NOT_WORD = re.compile(r"[^a-z0-9#%]+")
SAMPLE = 200  # rows looked at
MOSTLY = 0.7  # share of the cells that must read as what a column is taken for
CONTENT_NUMBER = re.compile(r"[^\d]{0,4}\d[\d.,  '’]*[^\d]{0,12}")
HAS_LETTERS = re.compile(r"[A-Za-z]{3}")


@dataclass(frozen=True, slots=True)
class Column:
    """What a column may be: its words on the page, and the headings it is known by (lower case, plain words)."""

    words: str
    known_by: tuple[str, ...]


COLUMNS: Mapping[str, Column] = {
    "material": Column("our own key", ("our key", "our code", "material key")),
    "code": Column(
        "their code",
        ("code", "item", "item no", "item number", "item #", "item code", "sku", "part", "part no", "part number",
         "product code", "product no", "article", "article no", "article number", "art no", "their code", "no", "#"),
    ),
    "title": Column(
        "what it is called",
        ("description", "item description", "product description", "product", "product name", "name", "item name",
         "material", "title", "what it is", "what it is called", "article name"),
    ),
    "unit": Column("unit", ("unit", "uom", "u m", "um", "unit of measure", "sold by", "bought by", "per")),
    "unit_price": Column(
        "price",
        ("price", "unit price", "net price", "your price", "price each", "cost", "unit cost", "net", "net cost",
         "contractor price", "rate", "list price"),
    ),
    "priced_on": Column(
        "priced on", ("priced on", "date", "price date", "effective", "effective date", "valid from", "as of", "from")
    ),
    "valid_until": Column(
        "good until",
        ("good until", "valid until", "valid to", "valid through", "expires", "expiry", "expiration", "until",
         "expiration date", "good through"),
    ),
    "pack": Column(
        "units in a pack",
        ("pack", "pack size", "pack qty", "qty per pack", "units per pack", "per pallet", "pieces per pallet",
         "pcs per pallet", "units in a pack", "sold in packs of", "pallet qty"),
    ),
    "pack_name": Column("what a pack is called", ("a pack is called", "pack name", "packaging", "pack type", "packed")),
    "least": Column("smallest order", ("smallest order", "minimum", "min order", "minimum order", "min qty", "moq")),
    "supplier": Column("supplier", ("supplier", "vendor", "yard", "who sells it")),
    "batch": Column("batch rule", ("batch", "batch rule", "color and shade")),
    "delivery_cents": Column("delivery, a load", ("delivery", "delivery a load", "delivery per load", "freight")),
    "hour_cents": Column("rate of an hour", ("hour", "1 hour", "hour rate", "hourly rate", "rate of an hour")),
    "half_day_cents": Column("rate of half a day", ("half day", "half day rate", "rate of half a day", "4 hours")),
    "day_cents": Column("rate of a day", ("day", "1 day", "day rate", "daily", "daily rate", "rate of a day")),
    "week_cents": Column("rate of a week", ("week", "1 week", "week rate", "weekly rate", "rate of a week")),
    "month_cents": Column(
        "rate of a month", ("month", "month rate", "monthly", "monthly rate", "rate of a month", "4 weeks")
    ),
    "pickup_cents": Column("pick-up, a hire", ("pick up", "pickup", "pick up a hire", "collection")),
    "fuel": Column("whose the fuel is", ("fuel", "whose the fuel is")),
    "fuel_cents": Column("fuel, a machine hour", ("fuel a machine hour", "fuel per hour", "fuel an hour")),
    "tip_cents": Column("tipping fee", ("tipping fee", "tipping", "tip fee", "disposal", "disposal fee", "dump fee")),
    "tip_per": Column("what tipping goes by", ("what tipping goes by", "tipping by", "tipping per", "disposal per")),
    "tip_least_cents": Column(
        "least tipping, a load", ("least tipping a load", "minimum tipping", "tipping minimum", "disposal minimum")
    ),
    "small_below": Column(
        "a small order is below", ("a small order is below", "small load below", "small order below")
    ),
    "small_cents": Column(
        "charge for a small order",
        ("charge for a small order", "small load fee", "small load", "short load", "short load fee", "small order fee"),
    ),
    "pallet": Column("units on a pallet", ("units on a pallet", "units per pallet")),
    "deposit_cents": Column("deposit for a pallet", ("deposit for a pallet", "pallet deposit", "deposit")),
    "deposit_lost": Column(
        "pallets that do not come back, percent", ("pallets that do not come back %", "pallets not returned %")
    ),
    "low": Column("may be lower by, percent", ("may be lower by %", "may be lower by")),
    "high": Column("may be higher by, percent", ("may be higher by %", "may be higher by")),
    "note": Column("note", ("note", "notes", "remarks", "remark", "comment", "comments")),
    "role": Column("what it is for", ("what it is for", "role", "category", "group")),
}  # fmt: skip
RATES = ("hour_cents", "half_day_cents", "day_cents", "week_cents", "month_cents")  # a price without another
ALONE = {"hour", "day", "week", "month"}  # they say a rate only where nothing else stands in the heading
_BY_HEADING: Mapping[str, str] = {known: key for key, one in COLUMNS.items() for known in one.known_by}


def plain_heading(text: str) -> str:
    """A heading in lower-case words.

    >>> plain_heading("  Unit-Price ($) ")
    'unit price'
    """
    return NOT_WORD.sub(" ", text.casefold()).strip()


def column_of(heading: str) -> tuple[str, int]:
    """What a heading says a column is, and how surely: 1000 where it says just that, else the length of what it holds.

    >>> column_of("Unit price, USD")
    ('unit_price', 10)
    """
    plain = plain_heading(heading)
    if plain in _BY_HEADING:
        return _BY_HEADING[plain], 1000
    padded = f" {plain} "
    held = max((known for known in _BY_HEADING if f" {known} " in padded and known not in ALONE), key=len, default="")
    return (_BY_HEADING[held], len(held)) if held else ("", 0)


def known_headings(cells: Sequence[str]) -> int:
    """How much a row reads as headings: each known one counts, the exact ones more; a row of figures counts nothing."""
    found = [column_of(cell) for cell in cells if cell and len(cell) <= 60]
    return len({key for key, sure in found if key}) * 2 + sum(1 for _, sure in found if sure == 1000)


def proposed_columns(headings: Sequence[str], sample: Sequence[Sequence[str]], unit_like: Sequence[bool]) -> list[str]:
    """What each column is; empty: none of ours. No two columns are the same thing.

    `sample` holds the texts of each column, `unit_like` whether they are mostly units of measure.
    """
    found = [""] * len(headings)
    taken: set[str] = set()
    ranked = sorted(((column_of(one), at) for at, one in enumerate(headings)), key=lambda one: (-one[0][1], one[1]))
    for (key, _), at in ranked:
        if key and key not in taken:
            found[at] = key
            taken.add(key)
    for key, fits in (("unit", _units(unit_like)), ("unit_price", _prices(sample)), ("title", _titles(sample))):
        free = [at for at in fits if not found[at] and not plain_heading(headings[at])]
        if key not in taken and free:
            found[free[0]] = key
    return found


def _units(unit_like: Sequence[bool]) -> list[int]:
    return [at for at, is_unit in enumerate(unit_like) if is_unit]


def _prices(sample: Sequence[Sequence[str]]) -> list[int]:
    """Columns of figures, the ones with cents or a currency sign first."""
    figures = [at for at, texts in enumerate(sample) if _share(texts, CONTENT_NUMBER.fullmatch) >= MOSTLY]
    return sorted(figures, key=lambda at: -_share(sample[at], re.compile(r".*([$€£]|[.,]\d\d$)").match))


def _titles(sample: Sequence[Sequence[str]]) -> list[int]:
    """Columns of words, the longest first."""
    worded = [at for at, texts in enumerate(sample) if _share(texts, HAS_LETTERS.search) >= MOSTLY]
    return sorted(worded, key=lambda at: -sum(map(len, sample[at])))


def _share(texts: Sequence[str], fits: object) -> float:
    test = fits if callable(fits) else bool
    return sum(1 for text in texts if test(text)) / len(texts) if texts else 0.0
