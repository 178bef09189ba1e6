"""What stands in a cell of a price list: money, a plain number, a day, in the forms that suppliers write them."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from app.domain.errors import BadValue

SHOWN = 40  # characters of a cell that a sentence repeats
MOST_PRICE = Decimal(1_000_000)
FINEST = Decimal("0.0001")
SIGNS = {"$": "", "US$": "USD", "USD": "USD", "C$": "CAD", "CA$": "CAD", "CAD": "CAD", "A$": "AUD", "AUD": "AUD",
         "€": "EUR", "EUR": "EUR", "£": "GBP", "GBP": "GBP"}  # fmt: skip
DOLLARS = {"USD", "CAD", "AUD"}
_SIGN = "|".join(re.escape(sign) for sign in sorted(SIGNS, key=len, reverse=True))
_MONEY = re.compile(
    rf"(?P<before>{_SIGN})?\s*(?P<number>-?[\d.,'’\s]*\d[\d.,'’\s]*?)\s*(?P<after>{_SIGN})?\s*"
    r"(?:(?:/|per\b)\s*(?P<unit>[^\d/].{0,24}?|1,?000|100))?",
    re.IGNORECASE,
)
_POINT = re.compile(r"-?\d{1,3}(?:,\d{3})+(?:\.\d+)?|-?\d*\.?\d+|-?\d+\.")
_COMMA = re.compile(r"-?\d{1,3}(?:\.\d{3})+(?:,\d+)?|-?\d*,?\d+")
_COMMA_ALONE = re.compile(r"-?\d+,(?:\d{1,2}|\d{4,})")
_SPACED = re.compile(r"(?<=\d)[\s'’](?=\d{3}(?!\d))")
_SAYS_COMMA = re.compile(r"\d,(?:\d{1,2}|\d{4})(?!\d)|\d\.\d{3},")
_SAYS_POINT = re.compile(r"\d\.(?:\d{1,2}|\d{4})(?!\d)|\d,\d{3}\.")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_NUMBERS = re.compile(r"(\d{1,2})[/.\-](\d{1,2})[/.\-](\d{4}|\d{2})")
_DAY_YEAR_FIRST = re.compile(r"(\d{4})[/.\-](\d{1,2})[/.\-](\d{1,2})(?:[T ]\d.*)?")
_DAY_WORDS = re.compile(
    r"(\d{1,2})\.?[ \-]([a-z]{3,9})\.?,?[ \-](\d{4}|\d{2})|([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})"
)


@dataclass(frozen=True, slots=True)
class Money:
    """A price as read: its amount to 1/10,000, the unit that stood beside it, whether digits were cut."""

    amount: Decimal
    unit: str = ""
    rounded: bool = False


def writes_comma(texts: Iterable[str]) -> bool:
    """Whether a column of prices has decimal commas: more cells show one than show a decimal point.

    >>> writes_comma(["1.250,00", "48,5"]), writes_comma(["1,250.00", "1,250"])
    (True, False)
    """
    found = [bool(_SAYS_COMMA.search(text)) - bool(_SAYS_POINT.search(text)) for text in texts]
    return sum(found) > 0


def writes_day_first(texts: Iterable[str]) -> bool:
    """Whether a column of days is written day first: some first number is above 12, and no second one is.

    >>> writes_day_first(["5/6/2026", "14/6/2026"]), writes_day_first(["5/14/2026"]), writes_day_first(["14.05.2026"])
    (True, False, True)
    """
    pairs = [(int(found[1]), int(found[2])) for text in texts if (found := _DAY_NUMBERS.match(text))]
    return any(first > 12 for first, _ in pairs) and not any(second > 12 for _, second in pairs)


def money_in(text: str, *, comma: bool, currency: str) -> Money:
    """A price: `$1,250.00`, `1.250,00 €`, `48 / ton`, `1 250`. `comma`: decimals stand behind a comma.

    Raises: BadValue for a formula, words, what is below zero, above a million, or in another currency.

    >>> money_in("$38.50/ton", comma=False, currency="USD")
    Money(amount=Decimal('38.5'), unit='ton', rounded=False)
    """
    found = _MONEY.fullmatch(_not_formula(text, "a price"))
    if found is None:
        raise BadValue(f"“{_short(text)}” is no price. A price is a number, as in 1,234.50.")
    _of_currency(text, found["before"] or found["after"] or "", currency)
    exact = number_in(found["number"], comma=comma)
    if exact < 0:
        raise BadValue(f"“{_short(text)}” is below zero. A price is zero or more.")
    if exact > MOST_PRICE:
        raise BadValue(f"“{_short(text)}” is more than a million for one. Check the number.")
    amount = exact.quantize(FINEST, ROUND_HALF_UP)
    plain = amount.normalize() + Decimal(0)
    return Money(
        plain.quantize(Decimal(1)) if plain == plain.to_integral() else plain, found["unit"] or "", amount != exact
    )


def number_in(text: str, *, comma: bool) -> Decimal:
    """A plain number with thousands and decimals. Raises: BadValue.

    >>> number_in("1 250,5", comma=True), number_in("1,250", comma=False), number_in("12,5", comma=False)
    (Decimal('1250.5'), Decimal('1250'), Decimal('12.5'))
    """
    plain = _SPACED.sub("", _not_formula(text, "a number"))
    if _COMMA_ALONE.fullmatch(plain) or (comma and _COMMA.fullmatch(plain)):
        return Decimal(plain.replace(".", "").replace(",", "."))
    if _POINT.fullmatch(plain):
        return Decimal(plain.replace(",", ""))
    raise BadValue(f"“{_short(text)}” is not understood as a number. Write 1,234.50, say.")


def day_in(text: str, *, day_first: bool) -> date:
    """A day: 2026-05-14, 5/14/2026, 14.05.2026, 14 May 2026, May 14, 2026. Raises: BadValue.

    >>> day_in("14.05.2026", day_first=True), day_in("May 3rd, 2026", day_first=False)
    (datetime.date(2026, 5, 14), datetime.date(2026, 5, 3))
    """
    plain = " ".join(_not_formula(text, "a day").casefold().split())
    try:
        year, month, day = _numbers_of_day(plain, day_first=day_first)
        return date(year + 2000 if year < 100 else year, month, day)
    except (ValueError, TypeError) as wrong:
        raise BadValue(f"“{_short(text)}” is not understood as a day. Write 2026-05-14, or 5/14/2026.") from wrong


def _numbers_of_day(plain: str, *, day_first: bool) -> tuple[int, int, int]:
    if found := _DAY_YEAR_FIRST.fullmatch(plain):
        return int(found[1]), int(found[2]), int(found[3])
    if found := _DAY_NUMBERS.fullmatch(plain):
        first, second, year = int(found[1]), int(found[2]), int(found[3])
        return (year, second, first) if day_first or first > 12 else (year, first, second)
    found = _DAY_WORDS.fullmatch(plain)
    if found is None:
        raise ValueError(plain)
    date_of, named, of = (1, 2, 3) if found[1] else (5, 4, 6)
    return int(found[of]), _MONTHS.index(found[named][:3]) + 1, int(found[date_of])


def _of_currency(text: str, sign: str, currency: str) -> None:
    meant = SIGNS.get(sign.upper(), "")
    foreign = meant != currency if meant else sign == "$" and currency not in DOLLARS
    if sign and foreign:
        raise BadValue(
            f"“{_short(text)}” is in {meant or 'dollars'}; the price book is in {currency}. Convert it first."
        )


def _not_formula(text: str, wanted: str) -> str:
    plain = text.replace("\u00a0", " ").replace("\u202f", " ").replace("−", "-").strip()
    if plain.startswith("="):
        raise BadValue(f"“{_short(text)}” is a formula, not {wanted}. Save the list with its values.")
    if len(plain) > 60:
        raise BadValue(f"“{_short(text)}” is too long for {wanted}.")
    return plain


def _short(text: str) -> str:
    return text if len(text) <= SHOWN else text[: SHOWN - 1] + "…"
