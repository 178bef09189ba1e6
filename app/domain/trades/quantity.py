"""What the numbers of quick math are: how each is typed and shown, in feet or metric; canonical in between.

Canonical are ft, sq ft, cu ft, lb, hour, and, of what only a trade speaks of, the US unit named first.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from app.domain.errors import BadValue
from app.domain.units import (
    AREA,
    GALLON,
    LENGTH,
    RATIO,
    VOLUME,
    WEIGHT,
    Dimension,
    System,
    format_area,
    format_length,
    format_money,
    format_number,
    format_share,
    format_slope,
    parse_area,
    parse_count,
    parse_length,
    parse_number,
    parse_price,
    parse_slope,
)
from app.domain.units.dimension import FOOT_IN_METERS, POUND_IN_KILOGRAMS

_METER = 1 / FOOT_IN_METERS
_CUBIC_METER = _METER**3
_KILOGRAM = 1 / POUND_IN_KILOGRAMS


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A kind of number. `size` and `metric_size` are one shown unit in canonical ones, `zero` what is added to metric.

    `how` is `number`, or the name of a kind that has words of its own (length, area, slope, share, count, text).
    """

    key: str
    words: str  # after "is not understood as"
    unit: str = ""
    metric: str = ""
    many: str = ""  # the unit of what is not one, where it is another word
    size: float = 1.0
    metric_size: float = 1.0
    zero: float = 0.0  # shown metric = (canonical - zero) / metric_size
    places: int = 2
    how: str = "number"
    dimension: Dimension | None = None

    def unit_in(self, system: System) -> str:
        """The unit printed beside a field."""
        return self.unit if system == "feet" else self.metric

    def shown(self, value: float, system: System = "feet", currency: str = "USD") -> str:
        """A value as it is told."""
        if self.how == "money":
            return format_money(round(value * 100), currency)
        if self.how in _SHOWN:
            return _SHOWN[self.how](value, system)
        number = _rounded(self._in(value, system), self.places)
        unit = self.many if self.many and system == "feet" and number != "1" else self.unit_in(system)
        return f"{number} {unit}".rstrip()

    def typed(self, value: float, system: System = "feet") -> str:
        """A value as somebody would type it into the field whose unit is printed beside it."""
        if self.how == "length" and system == "metric":
            return format_number(value / self.metric_size, 2 if self is THICKNESS else 3)
        if self.how == "area":
            return format_number(value if system == "feet" else value / _METER**2, 2)
        if self.how in ("length", "slope", "count"):
            return _SHOWN[self.how](value, system)
        if self.how == "money":
            return format_number(value, 2)
        if self.how == "share":
            return format_number(value * 100, 2)
        return _rounded(self._in(value, system), max(self.places, 3))

    def bare(self, value: float, system: System = "feet") -> str:
        """A value as a plain number of the unit beside it, as it stands in rows."""
        size = self.size if system == "feet" or self.how in ("share", "slope") else self.metric_size
        return _rounded((value - self.zero * (system == "metric")) / size, max(self.places, 3)).replace(",", "")

    def read(self, text: str, system: System = "feet", *, signed: bool = False) -> float:
        """A typed amount in canonical units; a bare number takes the unit beside the field. Raises: BadValue."""
        if self.how in _READ:
            return _READ[self.how](self, text, system, signed)
        return self._number(text, system, signed=signed)

    def _in(self, value: float, system: System) -> float:
        if system == "feet":
            return value / self.size
        return (value - self.zero) / self.metric_size

    def _number(self, text: str, system: System, *, signed: bool) -> float:
        found = _WITH_UNIT.fullmatch(" ".join(text.replace("−", "-").split()))
        if found is None:
            raise BadValue(f"“{text.strip()[:40]}” is not understood as {self.words}. {self._example(system)}")
        unit = _plain(found[2]) or _plain(self.unit_in(system))
        number = parse_number(found[1], self.words, signed=signed)
        if unit == _plain(self.unit):
            return number * self.size
        if unit == _plain(self.metric):
            return number * self.metric_size + self.zero
        raise BadValue(f"“{text.strip()[:40]}”: “{found[2].strip()}” is not a unit of this. {self._example(system)}")

    def _example(self, system: System) -> str:
        here, there = self.unit_in(system), self.metric if system == "feet" else self.unit
        either = f"12 {here}" if here == there or not there else f"12 {here} or a number with {there} behind it"
        return f"Write {either}, say." if here or there else "Write 12, say."


_WITH_UNIT = re.compile(r"([-+]?[0-9.,/ ]*[0-9](?:/[0-9]+)?) ?([^0-9].*)?")


def _plain(unit: str | None) -> str:
    return re.sub(r"[\s.²³]", lambda sign: {"²": "2", "³": "3"}.get(sign[0], ""), (unit or "").lower())


def _rounded(value: float, places: int) -> str:
    """A number to so many decimals; to four figures where that would show nothing of it."""
    text = format_number(value, places)
    return f"{value:.3g}" if text in ("0", "-0") and value else text


def _read_length(one: Quantity, text: str, system: System, signed: bool) -> float:
    unit = one.unit_in(system)
    return parse_length(text, unit=unit, system=system, signed=signed).feet


def _read_share(_one: Quantity, text: str, _system: System, signed: bool) -> float:
    return parse_number(text.replace("%", " "), "a percentage", signed=signed) / 100


_SHOWN: Mapping[str, Callable[[float, System], str]] = {
    "length": format_length,
    "area": format_area,
    "slope": format_slope,
    "share": lambda value, _system: format_share(value),
    "count": lambda value, _system: format_number(value, 0),
}
_READ: Mapping[str, Callable[[Quantity, str, System, bool], float]] = {
    "length": _read_length,
    "money": lambda _one, text, _system, _signed: float(parse_price(text)),
    "area": lambda _one, text, system, _signed: parse_area(text, system=system).value,
    "slope": lambda _one, text, system, _signed: parse_slope(text, system=system).value,
    "share": _read_share,
    "count": lambda _one, text, _system, _signed: float(parse_count(text)),
}


def _of(key: str, words: str, unit: str, metric: str = "", **more: object) -> Quantity:
    return Quantity(key=key, words=words, unit=unit, metric=metric or unit, **more)  # type: ignore[arg-type]


LENGTH_FT = _of("length", "a length", "ft", "m", how="length", metric_size=_METER, dimension=LENGTH)
THICKNESS = _of(
    "thickness", "a length", "in", "cm", how="length", size=1 / 12, metric_size=_METER / 100, dimension=LENGTH
)
AREA_SF = _of("area", "an area", "sq ft", "m²", how="area", metric_size=_METER**2, dimension=AREA)
SLOPE = _of("slope", "a slope", "%", how="slope", size=0.01, dimension=RATIO)
SHARE = _of("share", "a percentage", "%", how="share", size=0.01, dimension=RATIO)
COUNT = _of("count", "a number", "", how="count", dimension=RATIO)
NUMBER = _of("number", "a number", "", places=3, dimension=RATIO)
TIMES = _of("times", "a number", "", dimension=RATIO)
VOLUME_CF = _of("volume", "a volume", "cu ft", "m³", metric_size=_CUBIC_METER, dimension=VOLUME)
VOLUME_CY = _of("yards", "a volume", "cu yd", "m³", size=27.0, metric_size=_CUBIC_METER, dimension=VOLUME)
WATER = _of(
    "water",
    "an amount of water",
    "gal",
    "L",
    size=GALLON,
    metric_size=_CUBIC_METER / 1000,
    places=1,
    dimension=VOLUME,
)
WEIGHT_LB = _of("weight", "a weight", "lb", "kg", metric_size=_KILOGRAM, places=0, dimension=WEIGHT)
WEIGHT_TONS = _of(
    "tons", "a weight", "ton", "t", many="tons", size=2000.0, metric_size=1000 * _KILOGRAM, dimension=WEIGHT
)
DENSITY = _of(
    "density",
    "a weight by volume",
    "lb/cu ft",
    "kg/m³",
    metric_size=_KILOGRAM / _CUBIC_METER,
    places=1,
    dimension=WEIGHT / VOLUME,
)
INCHES = _of("inches", "a small length", "in", "mm", metric_size=1 / 25.4, places=3)
RAIN = _of("rain", "a rate of rain", "in/h", "mm/h", metric_size=1 / 25.4)
FLOW = _of("flow", "a flow", "gpm", "L/min", metric_size=1 / 3.785411784)
FLOW_HOUR = _of("flow-by-hour", "a flow", "gph", "L/h", metric_size=1 / 3.785411784, places=0)
FLOW_HOUR_FINE = _of("drip", "a flow", "gph", "L/h", metric_size=1 / 3.785411784)
WEIR_RATE = _of("flow-by-inch", "a flow by width", "gph/in", "L/h/cm", metric_size=2.54 / 3.785411784, places=1)
POT = _of("pot", "the size of a pot", "gal", "L", metric_size=1 / 3.785411784)
WATER_A_DAY = _of(
    "water-a-day",
    "an amount of water a day",
    "gal/day",
    "L/day",
    metric_size=1 / 3.785411784,
    places=1,
)
DAILY_DEPTH = _of("depth-a-day", "a depth a day", "in/day", "mm/day", metric_size=1 / 25.4)
SPEED = _of("speed", "a speed", "ft/s", "m/s", metric_size=_METER)
HEAD = _of("head", "a head of water", "ft", "m", metric_size=_METER)
LOSS_RATE = _of("loss", "a loss of head", "ft/100 ft", "m/100 m")
PRESSURE = _of("pressure", "a pressure", "psi", "kPa", metric_size=1 / 6.894757293)
SOIL_PRESSURE = _of("soil-pressure", "a pressure", "psf", "kPa", metric_size=1 / 0.04788025898, places=0)
LINE_FORCE = _of("force", "a force by length", "lb/ft", "kN/m", metric_size=1 / 0.01459390294, places=0)
MOMENT = _of("moment", "a moment by length", "lb-ft/ft", "kN-m/m", metric_size=1 / 0.004448221615, places=0)
WATTS = _of("watts", "a power", "W", places=1)
VOLTS = _of("volts", "a voltage", "V")
AMPERES = _of("amperes", "a current", "A")
VOLT_AMPERES = _of("volt-amperes", "an apparent power", "VA", places=1)
HEAT = _of("heat", "a rate of heat", "Btu/h", "kW", metric_size=3412.141633, places=1)
HEAT_BY_VOLUME = _of("heat-by-volume", "a heat content", "Btu/cu ft", "MJ/m³", metric_size=26.8391942, places=0)
GAS_FLOW = _of("gas-flow", "a flow of gas", "cu ft/h", "m³/h", metric_size=_CUBIC_METER, places=1)
TEMPERATURE = _of("temperature", "a temperature", "°F", "°C", metric_size=1.8, zero=32.0, places=0)
VENT_AREA = _of("vent", "a small area", "sq in", "cm²", metric_size=1 / 6.4516, places=1)
CROSS_SECTION = _of("section", "a cross section", "sq ft", "m²", metric_size=_METER**2, places=2)
ANGLE = _of("angle", "an angle", "°", places=1)
HOURS = _of("hours", "a number of hours", "h")
MINUTES = _of("minutes", "a number of minutes", "min", places=1)
MONEY = _of("money", "an amount of money", "$", how="money")
EACH_KWH = _of("energy-price", "a price of energy", "$/kWh", places=3)
ENERGY = _of("energy", "an amount of energy", "kWh", places=0)
TEXT = _of("text", "words", "", how="text")
