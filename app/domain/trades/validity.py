"""Where a formula of a trade ends: outside it there is a sentence, never an answer."""

from app.domain.errors import BadValue
from app.domain.units import format_number

_WITHIN = 1e-9  # share of a limit: a number on it is within


class OutsideValidity(BadValue):
    """A number for which a formula does not hold."""


def within(what: str, value: float, least: float | None, most: float | None, unit: str = "") -> float:
    """The number, when it lies where a formula holds.

    `what` begins the sentence, `unit` stands behind the numbers. Raises: OutsideValidity.

    >>> within("Curve number", 75, 30, 98)
    75
    """
    low = least is not None and value < least - _WITHIN * abs(least)
    if low or (most is not None and value > most + _WITHIN * abs(most)):
        raise OutsideValidity(
            f"{what}: {_said(value, unit)} lies outside what this works for, {_span(least, most, unit)}."
        )
    return value


def above_zero(what: str, value: float, unit: str = "") -> float:
    """The number, when it is more than nothing. Raises: OutsideValidity.

    >>> above_zero("Width", 2.0)
    2.0
    """
    if value <= 0:
        raise OutsideValidity(f"{what}: {_said(value, unit)} was given; more than nothing is wanted.")
    return value


def _span(least: float | None, most: float | None, unit: str) -> str:
    if least is None or most is None:
        return f"{'at least' if most is None else 'at most'} {_said(least if most is None else most, unit)}"
    return f"{_said(least, '')} to {_said(most, unit)}"


def _said(value: float | None, unit: str) -> str:
    number = value or 0.0
    text = format_number(number, 4)
    return f"{f'{number:.4g}' if text == '0' and number else text} {unit}".rstrip()
