"""What the trades give to formulas of recipes: functions of measures, each with what it takes and gives.

They take and give canonical units (ft, lb, hour) like every formula; outside their validity they refuse in words, which
becomes an open point of the recipe.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from app.domain.trades import concrete, drainage, gas, lighting, walls, water
from app.domain.units import AREA, GALLON, LENGTH, RATIO, TIME, VOLUME, Dimension

_FLOW = VOLUME / TIME  # cu ft/hour
NATURAL_BTU = 1030.0  # Btu/cu ft of natural gas. Assumption: the utility says its own
_CUBIC_FEET_AN_HOUR = 60 * GALLON  # of one gpm


@dataclass(frozen=True, slots=True)
class TradeFunction:
    """One function: the dimensions it takes, the one it gives, the work, and where it comes from."""

    takes: tuple[Dimension, ...]
    gives: Dimension
    work: Callable[..., float]
    source: str


def _runoff(coefficient: float, rain: float, area: float) -> float:
    return drainage.runoff_flow(coefficient, rain * 12, area) * _CUBIC_FEET_AN_HOUR


def _pipe_flow(diameter: float, slope: float, roughness: float) -> float:
    return drainage.full_pipe_flow(diameter * 12, slope, roughness) * _CUBIC_FEET_AN_HOUR


def _gas_carries(inside: float, length: float, propane: float) -> float:
    fuel, content = _fuel(propane)
    return gas.pipe_capacity(inside * 12, length, gas=fuel) * content


def _gas_inside(heat: float, length: float, propane: float) -> float:
    fuel, content = _fuel(propane)
    return gas.inside_for(heat / content, length, gas=fuel) / 12


def _fuel(propane: float) -> tuple[str, float]:
    """The gas, and the heat of a cubic foot of it [Btu]."""
    return ("propane", gas.PROPANE_BTU_A_CUBIC_FOOT) if propane > 0 else ("natural", NATURAL_BTU)


def _head_lost(flow: float, inside: float, roughness: float, length: float) -> float:
    return water.friction_rate(flow / _CUBIC_FEET_AN_HOUR, inside * 12, roughness) * length / 100


def _transformers(load: float, size: float) -> float:
    return float(lighting.supplies(load, size, 0.8))


def _bags(volume: float, each: float) -> float:
    return float(concrete.bags(volume, each))


FUNCTIONS: Mapping[str, TradeFunction] = {
    "stone_for": TradeFunction(
        (VOLUME, VOLUME, RATIO),
        VOLUME,
        drainage.stone_for,
        "stone whose voids hold what of the water a chamber does not; porosity is voids by the whole",
    ),
    "basin_water": TradeFunction(
        (LENGTH, LENGTH, LENGTH, RATIO), VOLUME, water.basin_water, "water in a basin of stone: its sides and porosity"
    ),
    "runoff": TradeFunction(
        (RATIO, LENGTH / TIME, AREA), _FLOW, _runoff, "rational method: coefficient, rain by the hour, area"
    ),
    "pipe_flow": TradeFunction(
        (LENGTH, RATIO, RATIO), _FLOW, _pipe_flow, "Manning: a full pipe by diameter, slope, roughness n"
    ),
    "gas_carries": TradeFunction(
        (LENGTH, LENGTH, RATIO),
        RATIO,
        _gas_carries,
        "fuel gas code's equation 4-1 (from memory): Btu/h by inside diameter and longest length, of natural gas (0) "
        "or propane at 11 in w.c. (1), at a drop of 0.5 in w.c.; 1,030 Btu/cu ft of natural gas (assumption; the "
        "utility says its own), 2,488 of propane",
    ),
    "gas_inside": TradeFunction(
        (RATIO, LENGTH, RATIO),
        LENGTH,
        _gas_inside,
        "the first Schedule 40 pipe that carries so much heat [Btu/h] over a longest length, by the same equation; "
        "2 in where none does",
    ),
    "head_lost": TradeFunction(
        (_FLOW, LENGTH, RATIO, LENGTH),
        LENGTH,
        _head_lost,
        "Hazen-Williams: head lost by flow, inside diameter, C, and length with what fittings count as",
    ),
    "transformers": TradeFunction(
        (RATIO, RATIO),
        RATIO,
        _transformers,
        "transformers of a size [VA] loaded to 80% at most by a load [VA]: practice",
    ),
    "buried_part": TradeFunction(
        (LENGTH,), LENGTH, walls.buried, "a tenth of the height that is seen, 6 in at least (Masonry Magazine, 2001)"
    ),
    "concrete_bags": TradeFunction(
        (VOLUME, VOLUME), RATIO, _bags, "whole bags for a volume, by what one bag makes (printed on it)"
    ),
}
