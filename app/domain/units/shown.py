"""How lengths, areas, slopes, numbers, money and days are written: one formatter for feet, metric and language."""

from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from math import floor, inf, isfinite
from typing import Literal

from babel import Locale
from babel.dates import format_date, get_month_names
from babel.numbers import get_currency_symbol, get_decimal_symbol, get_group_symbol

from app.domain.errors import BadValue
from app.domain.units.dimension import (
    AREA,
    FOOT_IN_METERS,
    LENGTH,
    POUND_IN_KILOGRAMS,
    RATIO,
    TIME,
    TRADE_UNITS,
    VOLUME,
    WEIGHT,
    Dimension,
    System,
)

LARGEST_SHOWN = Decimal("1e18")
KEPT = 16_384  # texts of numbers: a page writes most of the numbers it wrote before
_LOCALES = {"en": "en_US", "es": "es_US"}
UNIT_BESIDE = {
    ("length", "feet"): "ft",
    ("length", "metric"): "m",
    ("area", "feet"): "sq ft",
    ("area", "metric"): "m²",
}


def format_length(feet: float, system: System = "feet", *, sixteenths: bool = False) -> str:
    r"""A length [ft] to the nearest 1/8 in (1/16 with `sixteenths`) or, metric, to the millimeter.

    >>> format_length(12.5417), format_length(28), format_length(28 + 1 / 48), format_length(12.5, "metric")
    ('12\'-6 1/2"', '28\'-0"', '28\'-0 1/4"', '3.81 m')
    """
    if system == "metric":
        return f"{_metric_length(feet * FOOT_IN_METERS)} m"
    parts = 16 if sixteenths else 8
    total = floor(abs(_finite(feet)) * 12 * parts + 0.5)
    sign = "-" if feet < 0 and total else ""
    whole_feet, rest = divmod(total, 12 * parts)
    if not whole_feet:
        return f'{sign}{_inches(rest, parts)}"'
    inches = _inches(rest, parts) if rest >= parts else f"0 {_inches(rest, parts)}".removesuffix(" 0")
    return f"{sign}{whole_feet}'-{inches}\""


def _inches(amount: int, parts: int) -> str:
    whole, above = divmod(amount, parts)
    while above and above % 2 == 0:
        above, parts = above // 2, parts // 2
    if not above:
        return str(whole)
    return f"{whole} {above}/{parts}" if whole else f"{above}/{parts}"


def _metric_length(meters: float) -> str:
    return f"{_rounded(meters, 3):f}".removesuffix("0")


def format_area(square_feet: float, system: System = "feet", *, language: str = "en") -> str:
    """An area [sq ft] to the square foot (a tenth below 10), or in m² to a tenth.

    >>> format_area(1234.4), format_area(250, "metric")
    ('1,234 sq ft', '23.2 m²')
    """
    if system == "metric":
        return f"{format_number(square_feet * FOOT_IN_METERS**2, 1, language=language)} m²"
    places = 0 if abs(square_feet) >= 10 else 1
    return f"{format_number(square_feet, places, language=language)} sq ft"


def format_slope(slope: float, system: System = "feet") -> str:
    """A slope [rise over run] to the nearest 1/16 in per ft with its percent, to a tenth, beside it.

    >>> format_slope(1 / 48), format_slope(0.02, "metric")
    ('1/4 in per ft (2.1%)', '20 mm per m (2%)')
    """
    percent = f"{format_number(slope * 100, 1)}%".replace(",", "")
    if system == "metric":
        return f"{_rounded(slope * 1000, 0)} mm per m ({percent})"
    sixteenths = floor(abs(slope) * 12 * 16 + 0.5)
    sign = "-" if slope < 0 and sixteenths else ""
    return f"{sign}{_inches(sixteenths, 16)} in per ft ({percent})"


@lru_cache(maxsize=KEPT)
def format_number(value: float | Decimal, places: int = 2, *, language: str = "en") -> str:
    """A number with thousands apart and at most `places` decimals, without idle zeros.

    >>> format_number(1234.50), format_number(0.125, 3)
    ('1,234.5', '0.125')
    """
    group, decimal = _marks(language)
    text = f"{_rounded(value, places):,f}"
    whole, _, part = text.partition(".")
    part = part.rstrip("0")
    whole = "0" if whole == "-0" and not part else whole.replace(",", group)
    return f"{whole}{decimal}{part}" if part else whole


@lru_cache(maxsize=KEPT)
def format_money(cents: int, currency: str = "USD", *, language: str = "en", always_cents: bool = False) -> str:
    """Money from cents: `$58,940`, with cents only where there are any (or `always_cents`).

    >>> format_money(5894000), format_money(-123450)
    ('$58,940', '-$1,234.50')
    """
    group, decimal = _marks(language)
    whole, part = divmod(abs(cents), 100)
    text = f"{whole:,}".replace(",", group) + (f"{decimal}{part:02d}" if part or always_cents else "")
    return f"{'-' if cents < 0 else ''}{_symbol(currency, language)}{text}"


def format_price(unit_price: Decimal, currency: str = "USD", *, language: str = "en") -> str:
    """A unit price with two to four decimals: `$4.85`, `$0.0325`.

    >>> format_price(Decimal("0.0325")), format_price(Decimal("1250"))
    ('$0.0325', '$1,250.00')
    """
    group, decimal = _marks(language)
    whole, part = f"{_rounded(abs(unit_price), 4):,.4f}".split(".")
    part = part[:2] + part[2:].rstrip("0")
    sign = "-" if unit_price < 0 else ""
    return f"{sign}{_symbol(currency, language)}{whole.replace(',', group)}{decimal}{part}"


Toward = Literal["nearest", "below", "above"]


def format_short(cents: int, currency: str = "USD", *, language: str = "en", toward: Toward = "nearest") -> str:
    """Money at a glance: `$850`, `$4.5k`, `$80k`, `$1.2M`.

    The ends of a range are rounded `toward` what lies outside of it, so that it is never said narrower than it is.

    >>> format_short(8000000), format_short(450000), format_short(123456789)
    ('$80k', '$4.5k', '$1.23M')
    >>> format_short(1686000, toward="below"), format_short(1932000, toward="above")
    ('$16k', '$20k')
    """
    before = f"{'-' if cents < 0 else ''}{_symbol(currency, language)}"
    counted = ((abs(_in_size(cents, size, toward)), places, letter, most) for size, places, letter, most in _GLANCED)
    count, places, letter = next((count, places, letter) for count, places, letter, most in counted if count < most)
    return f"{before}{_with_places(count, places, language)}{letter}"


# a size [cents], the decimals of it that are told, its letter, and the count from which the next size is told
_GLANCED = ((100, 0, "", 1000), (10_000, 1, "k", 100), (100_000, 0, "k", 1000), (1_000_000, 2, "M", inf))


def _in_size(cents: int, size: int, toward: Toward) -> int:
    """How many of a size an amount is, to the nearest (halves away from zero), or rounded down or up."""
    if toward == "nearest":
        whole = (abs(cents) + size // 2) // size
        return whole if cents >= 0 else -whole
    return cents // size if toward == "below" else -(-cents // size)


@lru_cache(maxsize=4096)
def _with_places(whole: int, places: int, language: str) -> str:
    """A number of so many tenths or hundredths, without idle zeros."""
    return format_number(Decimal(whole).scaleb(-places), places, language=language)


def format_share(share: float | Decimal, places: int = 1) -> str:
    """A share as a percentage: 0.18 is `18%`.

    >>> format_share(Decimal("0.0825"), 2)
    '8.25%'
    """
    return f"{format_number(share * 100, places)}%"


def format_month(month: float, *, language: str = "en") -> str:
    """A month number [1 to 13) as words: 4.5 is the middle of April.

    >>> format_month(4.5), format_month(9.0), format_month(11.9)
    ('mid-April', 'early September', 'late November')
    """
    at, part = int(month), month - int(month)
    early, middle = 0.34, 0.67
    said = "early " if part < early else "mid-" if part < middle else "late "
    return f"{said}{get_month_names('wide', locale=_LOCALES.get(language, 'en_US'))[min(max(at, 1), 12)]}"


def format_day(day: date, *, language: str = "en") -> str:
    """A day in words that no country misreads.

    >>> format_day(date(2026, 5, 14))
    'May 14, 2026'
    """
    return format_date(day, "medium", locale=_LOCALES.get(language, "en_US"))


def format_quantity(
    amount: float, unit: str, system: System = "feet", *, as_bought: bool = False, language: str = "en"
) -> str:
    """An amount of a unit of `TRADE_UNITS` in the units the trade speaks of, one or many.

    Volumes of a cubic yard and more are told in cu yd, weights of a ton and more in tons; `as_bought` keeps the unit.

    >>> format_quantity(54, "foot**3"), format_quantity(1, "ton"), format_quantity(500, "lb"), format_quantity(3, "bag")
    ('2 cu yd', '1 ton', '500 lb', '3 bags')
    """
    known = TRADE_UNITS.get(unit)
    if known is None:
        raise BadValue(f"“{unit}” is not a unit things are bought by. Known are {', '.join(TRADE_UNITS)}.")
    if as_bought or unit == "gallon" or known.dimension in {RATIO, TIME}:
        return _counted(amount, known.one, known.many, language)
    return format_amount(amount * known.size, known.dimension, system, language=language)


def format_amount(amount: float, dimension: Dimension, system: System = "feet", *, language: str = "en") -> str:
    """An amount in canonical units (ft, sq ft, cu ft, lb, hour, count) in the units the trade speaks of.

    >>> format_amount(4000, WEIGHT), format_amount(13.5, VOLUME), format_amount(1, TIME)
    ('2 tons', '13.5 cu ft', '1 hour')
    """
    size, one, many = _spoken(abs(amount), dimension, system)
    return _counted(amount / size, one, many, language)


def _spoken(amount: float, dimension: Dimension, system: System) -> tuple[float, str, str]:
    """Size in canonical units, and the words for one and many."""
    if system == "metric" and dimension in _METRIC:
        return _METRIC[dimension]
    if dimension == VOLUME and amount >= 27:
        return 27.0, "cu yd", "cu yd"
    if dimension == WEIGHT and amount >= 2000:
        return 2000.0, "ton", "tons"
    return _CANONICAL.get(dimension, (1.0, dimension.unit, dimension.unit))


_CANONICAL = {TIME: (1.0, "hour", "hours"), RATIO: (1.0, "", "")}
_METRIC = {
    LENGTH: (1 / FOOT_IN_METERS, "m", "m"),
    AREA: (1 / FOOT_IN_METERS**2, "m²", "m²"),
    VOLUME: (1 / FOOT_IN_METERS**3, "m³", "m³"),
    WEIGHT: (1 / POUND_IN_KILOGRAMS, "kg", "kg"),
}


def _counted(amount: float, one: str, many: str, language: str) -> str:
    places = 0 if abs(amount) >= 100 else 1 if abs(amount) >= 10 else 2
    number = format_number(amount, places, language=language)
    return f"{number} {one if number == '1' else many}".rstrip()


def _finite(value: float) -> float:
    if not isfinite(value):
        raise BadValue("A number is too large to be shown.")
    return value


def _rounded(value: float | Decimal, places: int) -> Decimal:
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(_finite(value))))
    if abs(exact) > LARGEST_SHOWN:
        raise BadValue("A number is too large to be shown.")
    return exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


@lru_cache(maxsize=16)
def _marks(language: str) -> tuple[str, str]:
    locale = Locale.parse(_LOCALES.get(language, "en_US"))
    return get_group_symbol(locale), get_decimal_symbol(locale)


@lru_cache(maxsize=64)
def _symbol(currency: str, language: str) -> str:
    return get_currency_symbol(currency, locale=_LOCALES.get(language, "en_US"))
