"""What people type for a length, an area, a slope, a count, a share, money, a day: read, or refused with a sentence.

A bare number takes the unit printed beside the field. What was understood is given back, to be shown.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from app.domain.errors import BadValue
from app.domain.units.dimension import System
from app.domain.units.shown import format_area, format_length, format_slope

LONGEST_TEXT = 60  # characters: nothing that is meant is longer
MOST_FEET = 5280  # a mile: no yard is longer
MOST_SQUARE_FEET = 100 * 43560  # 100 acres
STEEPEST = 2  # rise over run: nothing steeper is walked, paved or planted
MOST_CENTS = 10_000_000_000  # 100 million in whole money
MOST_COUNT = 1_000_000


@dataclass(frozen=True, slots=True)
class Typed:
    """A length as typed: in feet, and what was understood, to be shown back."""

    feet: float
    understood: str


@dataclass(frozen=True, slots=True)
class TypedNumber:
    """An area [sq ft] or a slope [rise over run] as typed, and what was understood, to be shown back."""

    value: float
    understood: str


_METER = Fraction(10000, 3048)  # feet
_LENGTH_UNITS = {"ft": Fraction(1), "in": Fraction(1, 12), "yd": Fraction(3)}
_LENGTH_UNITS |= {"m": _METER, "cm": _METER / 100, "mm": _METER / 1000}
_SPELLED = {"'": "ft", "feet": "ft", "foot": "ft", '"': "in", "inches": "in", "inch": "in", "yards": "yd"}
_SPELLED |= {"yard": "yd", "meters": "m", "meter": "m", "metres": "m", "metre": "m"}
_SPELLED |= {unit: unit for unit in _LENGTH_UNITS}

_NUMBER = r"(?:[0-9][0-9.,]*|\.[0-9]+)"
_FRACTION = r"[0-9]+/[0-9]+"
_AMOUNT = rf"(?:{_NUMBER}[ -]{_FRACTION}|{_FRACTION}|{_NUMBER})"
_UNIT = "(?:" + "|".join(sorted(_SPELLED, key=len, reverse=True)) + r")\.?"
_LENGTH = re.compile(
    rf"(?P<big>{_AMOUNT}) ?(?P<big_unit>{_UNIT})?(?:(?P<between> ?-? ?)(?P<small>{_AMOUNT}) ?(?P<small_unit>{_UNIT})?)?"
)
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_LETTERS = str.maketrans(
    {
        **dict.fromkeys("′’‘´`ʹ＇ʼ", "'"),
        **dict.fromkeys("″”“ʺ˝＂", '"'),
        **dict.fromkeys("−–—‐‑‒", "-"),
        "⁄": "/",
        "∕": "/",
        "×": "x",
        "²": "2",
        **{sign: f" {value} " for sign, value in _VULGAR.items()},
    }
)


def parse_length(text: str, *, unit: str = "", system: System = "feet", signed: bool = False) -> Typed:
    r"""A typed length [ft], 0 to 5,280 (with `signed`, also below zero: levels).

    `unit` is the unit printed beside the field (ft, in, yd, m, cm, mm; the system's own when left out).
    Raises: BadValue for what is empty, negative, ambiguous, too large or not a length.

    >>> parse_length("12' 6 1/2\"")
    Typed(feet=12.541666666666666, understood='12\'-6 1/2"')
    """
    plain = _plain(text, "a length")
    sign, plain = _sign(plain) if signed else (1, plain)
    if plain.startswith("-"):
        raise BadValue(f"“{_quoted(text)}” is negative. A length is zero or more.")
    found = _LENGTH.fullmatch(plain)
    if found is None:
        raise BadValue(f"“{_quoted(text)}” is not understood as a length. Write 12' 6\", 12.5 ft, 150 in or 3.81 m.")
    feet = _feet(found, unit or ("ft" if system == "feet" else "m"), system, _quoted(text))
    if feet > MOST_FEET:
        raise BadValue(f"“{_quoted(text)}” is {float(feet):,.0f} ft, more than a mile. Check the number and its unit.")
    value = float(sign * feet)
    return Typed(value, _length_understood(value, found["big_unit"], system))


def _feet(found: re.Match[str], unit: str, system: System, quoted: str) -> Fraction:
    big, big_unit = found["big"], _canonical(found["big_unit"])
    if found["small"] is not None:
        return _two_parts(found, big_unit, system, quoted)
    if "-" in big and big_unit is None and unit == "ft":
        whole, part = big.split("-")
        raise BadValue(
            f"“{quoted}” can be {whole} {part} ft or {whole} ft {part} in. "
            f"Write {whole} {part} ft or {whole}' {part}\"."
        )
    return _amount(big, quoted) * _LENGTH_UNITS[big_unit or unit]


def _two_parts(found: re.Match[str], big_unit: str | None, system: System, quoted: str) -> Fraction:
    small_unit = _canonical(found["small_unit"])
    if big_unit is None and "-" in found["between"] and small_unit in {None, "in"}:
        if system == "metric":
            raise BadValue(
                f"“{quoted}” reads as feet and inches, and this firm works in metric. Write 3.81 m or 12' 6\"."
            )
        big_unit = "ft"
    pair = (big_unit, small_unit or ("in" if big_unit == "ft" else None))
    if pair not in {("ft", "in"), ("m", "cm"), ("m", "mm")}:
        raise BadValue(
            f"“{quoted}” holds two numbers, and it is not clear which units they have. Write 12' 6\" or 12.5 ft."
        )
    big, small = _amount(found["big"], quoted), _amount(found["small"], quoted)
    larger, smaller = _LENGTH_UNITS[pair[0] or "ft"], _LENGTH_UNITS[pair[1] or "in"]
    if big.denominator != 1:
        raise BadValue(f"“{quoted}” has a part of a foot or meter twice. Write 12' 6\" or 12.5 ft.")
    if small * smaller >= larger:
        total = format_length(float(big * larger + small * smaller), "feet" if pair[0] == "ft" else "metric")
        raise BadValue(
            f"“{quoted}”: {found['small']} {pair[1]} is a whole {pair[0]} or more. If {total} is meant, write that."
        )
    return big * larger + small * smaller


def _length_understood(feet: float, typed_unit: str | None, system: System) -> str:
    own = format_length(feet, system, sixteenths=True)
    other: System = "metric" if system == "feet" else "feet"
    if typed_unit is None or (_canonical(typed_unit) in {"m", "cm", "mm"}) == (system == "metric"):
        return own
    return f"{format_length(feet, other, sixteenths=True)} = {own}"


def _canonical(spelled: str | None) -> str | None:
    return None if spelled is None else _SPELLED[spelled.rstrip(".")]


_AREA_UNITS = {
    r"(?:sq\.? ?(?:ft|feet|foot)\.?|ft2|sf|square (?:feet|foot))": Fraction(1),
    r"(?:sq\.? ?(?:yd|yards?)|yd2|sy|square yards?)": Fraction(9),
    r"(?:m2|sq\.? ?m|square met(?:er|re)s?)": _METER**2,
    r"acres?": Fraction(43560),
}
_AREA = re.compile(rf"({_AMOUNT}) ?(.*)")


def parse_area(text: str, *, unit: str = "", system: System = "feet") -> TypedNumber:
    r"""A typed area [sq ft], up to 100 acres: `450`, `450 sq ft`, `42 m²`, `0.25 acre`, `20' x 12' 6"`.

    `unit` is printed beside the field (sq ft, sq yd, m2; the system's own when left out).
    Raises: BadValue for what is empty, negative, too large or not an area.

    >>> parse_area("20' x 12' 6\"").value
    250.0
    """
    plain, quoted = _plain(text, "an area"), _quoted(text)
    sides = re.split(r" ?(?:x|\bby\b) ?", plain)
    if len(sides) == 2:
        value = parse_length(sides[0], system=system).feet * parse_length(sides[1], system=system).feet
        return _area(value, quoted, system)
    found = _AREA.fullmatch(plain)
    if found is None:
        raise BadValue(f"“{quoted}” is not understood as an area. Write 450 sq ft, 42 m² or 20' x 12'.")
    spelled = found[2] or unit or ("sq ft" if system == "feet" else "m2")
    size = next((size for pattern, size in _AREA_UNITS.items() if re.fullmatch(pattern, spelled)), None)
    if size is None:
        raise BadValue(f"“{quoted}”: “{found[2]}” is not a unit of area. Write sq ft, sq yd, m² or acre.")
    return _area(float(_amount(found[1], quoted, thousands=system == "feet") * size), quoted, system)


def _area(value: float, quoted: str, system: System) -> TypedNumber:
    if value > MOST_SQUARE_FEET:
        raise BadValue(f"“{quoted}” is more than 100 acres. Check the number and its unit.")
    return TypedNumber(value, format_area(value, system))


_PERCENT = re.compile(rf"({_NUMBER}) ?%")
_BESIDE = re.compile(rf".*\(({_NUMBER} ?%)\)")
_RATIO = re.compile(rf"({_NUMBER}) ?(?::|in) ?({_NUMBER})")
_FALL = re.compile(rf"({_AMOUNT}) ?({_UNIT}) ?(?:per|/|in a|to the|a) ?({_AMOUNT})? ?({_UNIT})")


def parse_slope(text: str, *, unit: str = "%", system: System = "feet") -> TypedNumber:
    """A typed slope as rise over run, 0 to 2: `1/4 in per ft`, `2%`, `1:48`, `20 mm per m`; a bare number is `unit`.

    `unit` is `%` or `in per ft`. A percent in parentheses behind another form decides, being the finer one.
    Raises: BadValue for what is empty, negative, steeper than 200 % or not a slope.

    >>> parse_slope("1/4 in per ft")
    TypedNumber(value=0.020833333333333332, understood='1/4 in per ft (2.1%)')
    """
    plain, quoted = _plain(text, "a slope"), _quoted(text)
    if beside := _BESIDE.fullmatch(plain):
        plain = beside[1]
    if re.fullmatch(_AMOUNT, plain):
        plain = f"{plain}%" if unit == "%" else f"{plain} {unit}"
    slope = _slope(plain, quoted)
    if slope > STEEPEST:
        raise BadValue(f"“{quoted}” is {float(slope):.0%}, steeper than 200%. Check the number and its unit.")
    return TypedNumber(float(slope), format_slope(float(slope), system))


def _slope(plain: str, quoted: str) -> Fraction:
    if found := _PERCENT.fullmatch(plain):
        return _amount(found[1], quoted) / 100
    if found := _RATIO.fullmatch(plain):
        run = _amount(found[2], quoted)
        if run == 0:
            raise BadValue(f"“{quoted}” has no run. Write 1:48 for one in forty-eight.")
        return _amount(found[1], quoted) / run
    if found := _FALL.fullmatch(plain):
        rise = _amount(found[1], quoted) * _LENGTH_UNITS[_SPELLED[found[2].rstrip(".")]]
        run = _amount(found[3] or "1", quoted) * _LENGTH_UNITS[_SPELLED[found[4].rstrip(".")]]
        if run > 0:
            return rise / run
    raise BadValue(f"“{quoted}” is not understood as a slope. Write 1/4 in per ft, 2% or 1:48.")


def parse_number(text: str, wanted: str = "a number", *, signed: bool = False) -> float:
    """A typed number of anything, `wanted` in words: `1,200`, `0.5`, `6 1/2`. With `signed`, also below zero.

    Raises: BadValue.

    >>> parse_number("6 1/2"), parse_number("-3", signed=True)
    (6.5, -3.0)
    """
    sign, plain = _sign(_plain(text, wanted)) if signed else (1, text)
    return sign * float(_amount_alone(plain, wanted))


def parse_count(text: str, *, most: int = MOST_COUNT) -> int:
    """A typed whole number, 0 to `most`. Raises: BadValue.

    >>> parse_count("1,200")
    1200
    """
    value = _amount_alone(text, "a number")
    if value.denominator != 1:
        raise BadValue(f"“{_quoted(text)}” is not a whole number. Write 12, say.")
    if value > most:
        raise BadValue(f"“{_quoted(text)}” is more than {most:,}. Check the number.")
    return int(value)


def parse_share(text: str, *, most: Decimal = Decimal(1)) -> Decimal:
    """A typed percentage as a share: `18 %` and `18` (percent is printed beside the field) are 0.18.

    Raises: BadValue for what is negative, above `most` (a share) or finer than 1/10,000 of a percent.

    >>> parse_share("18 %")
    Decimal('0.18')
    """
    value = _decimal(_amount_alone(text.replace("%", " "), "a percentage") / 100, 6, _quoted(text))
    if value > most:
        raise BadValue(f"“{_quoted(text)}” is more than {most:.0%}. Write 18 for 18%.")
    return value


def parse_price(text: str) -> Decimal:
    """A typed unit price in whole money, to 1/10,000: `$4.85`, `1,250`, `0.0325`, `1.2k`. Raises: BadValue.

    >>> parse_price("$4.85")
    Decimal('4.85')
    """
    plain, quoted = _plain(text, "an amount of money"), _quoted(text)
    if plain.startswith("-"):
        raise BadValue(f"“{quoted}” is negative. Write an amount of zero or more.")
    found = re.fullmatch(
        rf"(?:usd|eur|gbp|cad)? ?[$€£]? ?({_NUMBER}) ?(k)? ?[$€£]?(?: ?(?:usd|eur|gbp|cad|dollars))?", plain
    )
    if found is None:
        raise BadValue(f"“{quoted}” is not understood as money. Write 1,234.50 or 80k.")
    value = _decimal(_amount(found[1], quoted, thousands=True) * (1000 if found[2] else 1), 4, quoted)
    if value * 100 > MOST_CENTS:
        raise BadValue(f"“{quoted}” is more than 100 million. Check the number.")
    return value


def parse_money(text: str, *, signed: bool = False) -> int:
    """Typed money as cents: `$1,234.50`, `1234.5`, `1.2k`. With `signed`, also below zero (a credit).

    Raises: BadValue for what is empty, negative, finer than a cent, above 100 million or not money.

    >>> parse_money("$1,234.50"), parse_money("1.2k")
    (123450, 120000)
    """
    sign, plain = _sign(_plain(text, "an amount of money")) if signed else (1, text)
    value = parse_price(plain) * 100
    if value != int(value):
        raise BadValue(f"“{_quoted(text)}” is finer than a cent. Write 1,234.50, say.")
    return sign * int(value)


def parse_day(text: str) -> date:
    """A typed day: `2026-05-14`, `5/14/2026`, `5/14/26` (month first). Raises: BadValue.

    >>> parse_day("5/14/2026")
    datetime.date(2026, 5, 14)
    """
    plain, quoted = _plain(text, "a day"), _quoted(text)
    numbers = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})", plain)
    order = (1, 2, 3)
    if numbers is None:
        numbers = re.fullmatch(r"([0-9]{1,2})/([0-9]{1,2})/([0-9]{4}|[0-9]{2})", plain)
        order = (3, 1, 2)
    if numbers is None:
        raise BadValue(f"“{quoted}” is not understood as a day. Write 5/14/2026, month first, or 2026-05-14.")
    year, month, day = (int(numbers[place]) for place in order)
    try:
        return date(year + 2000 if len(numbers[order[0]]) == 2 else year, month, day)
    except ValueError as wrong:
        raise BadValue(f"“{quoted}” is not a day of the calendar. Write 5/14/2026, month first.") from wrong


def _plain(text: str, wanted: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise BadValue(f"“{_quoted(text)}” is too long for {wanted}. Write it shorter.")
    plain = " ".join(text.translate(_LETTERS).lower().split()).replace("''", '"')
    if not plain:
        raise BadValue(f"Nothing was typed. Write {wanted}.")
    return plain.replace(' "', '"').replace(" '", "'")


def _quoted(text: str) -> str:
    typed = " ".join(text.split())
    return typed if len(typed) <= 40 else typed[:39] + "…"


def _sign(plain: str) -> tuple[int, str]:
    return (-1 if plain[0] == "-" else 1), plain.removeprefix("-").removeprefix("+").strip()


def _amount_alone(text: str, wanted: str) -> Fraction:
    plain, quoted = _plain(text, wanted), _quoted(text)
    if plain.startswith("-"):
        raise BadValue(f"“{quoted}” is negative. Write {wanted} of zero or more.")
    if not re.fullmatch(_AMOUNT, plain):
        raise BadValue(f"“{quoted}” is not understood as {wanted}. Write 18, say.")
    return _amount(plain, quoted, thousands=True)


def _amount(text: str, quoted: str, *, thousands: bool = False) -> Fraction:
    """A number, a fraction or a number with a fraction behind it, exactly."""
    if "/" not in text:
        return _number(text, quoted, thousands=thousands)
    *whole, fraction = re.split(r"[ -]", text)
    above, below = (int(part) for part in fraction.split("/"))
    if below == 0 or (whole and above >= below):
        raise BadValue(f"“{quoted}”: {fraction} is not a fraction of one. Write 6 1/2, say.")
    if whole and _number(whole[0], quoted, thousands=thousands).denominator != 1:
        raise BadValue(f"“{quoted}” has a decimal and a fraction. Write 6 1/2 or 6.5.")
    return Fraction(above, below) + (_number(whole[0], quoted, thousands=thousands) if whole else 0)


def _number(text: str, quoted: str, *, thousands: bool) -> Fraction:
    if re.fullmatch(r"[0-9]*\.?[0-9]+", text):
        return Fraction(text)
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", text):
        if not thousands:
            plain, decimal = text.replace(",", ""), text.replace(",", ".")
            raise BadValue(f"“{quoted}” can be {plain} or {decimal}. Write {plain} or {decimal}.")
        return Fraction(text.replace(",", ""))
    if re.fullmatch(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?", text):
        return Fraction(text.replace(",", ""))
    if re.fullmatch(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]+", text):
        return Fraction(text.replace(".", "").replace(",", "."))
    if re.fullmatch(r"[0-9]+,[0-9]+", text):
        return Fraction(text.replace(",", "."))
    raise BadValue(f"“{quoted}”: {text} is not understood as a number. Write 12.5, say.")


def _decimal(value: Fraction, places: int, quoted: str) -> Decimal:
    scaled = value * 10**places
    if scaled.denominator != 1:
        raise BadValue(f"“{quoted}” has too many decimals. Keep {places - 2 if places > 4 else places} at most.")
    return Decimal(int(scaled)).scaleb(-places).normalize() + Decimal(0)
