"""What kind of quantity a number is, and the sizes of the trade's units in canonical ones (foot, lb, hour)."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

System = Literal["feet", "metric"]

FOOT_IN_METERS = 0.3048  # exact: the international foot, NIST SP 811 (2008), appendix B.8
POUND_IN_KILOGRAMS = 0.45359237  # exact: the avoirdupois pound, NIST SP 811 (2008), appendix B.8
GALLON_IN_CUBIC_INCHES = 231  # exact: the US gallon, NIST Handbook 44, appendix C


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity as exponents of length, weight and time. All zero: a count, a ratio or money-free number.

    >>> (LENGTH * LENGTH).name, (WEIGHT / VOLUME).unit
    ('area', 'lb/cu ft')
    """

    length: int = 0
    mass: int = 0
    hours: int = 0

    def __mul__(self, other: "Dimension") -> "Dimension":
        return Dimension(self.length + other.length, self.mass + other.mass, self.hours + other.hours)

    def __truediv__(self, other: "Dimension") -> "Dimension":
        return Dimension(self.length - other.length, self.mass - other.mass, self.hours - other.hours)

    def __pow__(self, exponent: int) -> "Dimension":
        return Dimension(self.length * exponent, self.mass * exponent, self.hours * exponent)

    @property
    def name(self) -> str:
        """The dimension in a word: area, length, volume, weight, time, ratio; else its unit."""
        return _NAMES.get(self, self.unit)

    @property
    def unit(self) -> str:
        """The canonical unit in the trade's words: sq ft, ft, cu ft, lb, hour; `each` for a count."""
        return _unit(self.length, self.mass, self.hours)


@lru_cache(maxsize=256)
def _unit(length: int, mass: int, hours: int) -> str:
    exponents = ("lb", mass), ("hour", hours), ("ft", length)
    above = [_power(base, exponent) for base, exponent in exponents if exponent > 0]
    below = [_power(base, -exponent) for base, exponent in exponents if exponent < 0]
    if not above and not below:
        return "each"
    return "/".join([" × ".join(above) or "1", *below])


def _power(base: str, exponent: int) -> str:
    if base == "ft" and exponent in _FEET:
        return _FEET[exponent]
    return base if exponent == 1 else f"{base}^{exponent}"


_FEET = {1: "ft", 2: "sq ft", 3: "cu ft"}

RATIO = Dimension()
LENGTH = Dimension(length=1)
AREA = Dimension(length=2)
VOLUME = Dimension(length=3)
WEIGHT = Dimension(mass=1)
TIME = Dimension(hours=1)

_NAMES = {RATIO: "ratio", LENGTH: "length", AREA: "area", VOLUME: "volume", WEIGHT: "weight", TIME: "time"}

INCH = 1 / 12
GALLON = GALLON_IN_CUBIC_INCHES / 1728  # cu ft

# the units a formula may name: size in canonical units, dimension
FORMULA_UNITS: Mapping[str, tuple[float, Dimension]] = {
    "inch": (INCH, LENGTH),
    "foot": (1.0, LENGTH),
    "yard": (3.0, LENGTH),
    "lb": (1.0, WEIGHT),
    "ton": (2000.0, WEIGHT),
    "gallon": (GALLON, VOLUME),
    "hour": (1.0, TIME),
    "each": (1.0, RATIO),
}


@dataclass(frozen=True, slots=True)
class TradeUnit:
    """A unit that things are bought, priced or rated by: its dimension, its size in canonical units, its words."""

    key: str
    dimension: Dimension
    size: float
    one: str
    many: str


def _trade_units() -> Mapping[str, TradeUnit]:
    measured = (
        TradeUnit("inch", LENGTH, INCH, "in", "in"),
        TradeUnit("foot", LENGTH, 1.0, "ft", "ft"),
        TradeUnit("yard", LENGTH, 3.0, "yd", "yd"),
        TradeUnit("foot**2", AREA, 1.0, "sq ft", "sq ft"),
        TradeUnit("yard**2", AREA, 9.0, "sq yd", "sq yd"),
        TradeUnit("foot**3", VOLUME, 1.0, "cu ft", "cu ft"),
        TradeUnit("yard**3", VOLUME, 27.0, "cu yd", "cu yd"),
        TradeUnit("gallon", VOLUME, GALLON, "gallon", "gallons"),
        TradeUnit("lb", WEIGHT, 1.0, "lb", "lb"),
        TradeUnit("ton", WEIGHT, 2000.0, "ton", "tons"),
        TradeUnit("hour", TIME, 1.0, "hour", "hours"),
    )
    counted = ("bag", "day", "week", "month", "load", "roll", "pallet", "piece", "trip", "sheet", "tube", "pail")
    counts = [TradeUnit("each", RATIO, 1.0, "each", "each"), TradeUnit("box", RATIO, 1.0, "box", "boxes")]
    counts += [TradeUnit(word, RATIO, 1.0, word, word + "s") for word in counted]
    return {unit.key: unit for unit in (*measured, *counts)}


# by the text of the unit, as in a material's `buy` and a task's `unit`. A bag, a day, a week are counts: what one
# bag covers is the material's coverage, and how long a day is is the firm's setting
TRADE_UNITS: Mapping[str, TradeUnit] = _trade_units()
