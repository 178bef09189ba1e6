"""Stone, sand, soil and mulch by the layer: volume in place, weight bought, trucks.

Weight is bought by what ends up in place; loosening counts for the truck's box only, never for weight.
"""

from collections.abc import Mapping
from math import ceil

from app.domain.trades.validity import above_zero, within

LB_PER_TON = 2000.0
_WHOLE = 1e-9

# lb/cu ft: CalRecycle, Weights and Volumes for Project Estimates (loose dry lb/cu yd ÷ 27); compacted base and stone
# fines: common practice, no source
DENSITIES: Mapping[str, tuple[str, float]] = {
    "base": ("Crushed stone with fines, compacted", 140.0),
    "clean": ("Crushed stone or gravel, loose dry (2,600 lb/cu yd)", 2600 / 27),
    "gravel-wet": ("Gravel, wet (3,120 lb/cu yd)", 3120 / 27),
    "sand": ("Sand, loose dry (2,400 lb/cu yd)", 2400 / 27),
    "sand-wet": ("Sand, wet or compacted (3,120 lb/cu yd)", 3120 / 27),
    "earth": ("Earth, loose dry (2,100 lb/cu yd)", 2100 / 27),
    "earth-compacted": ("Earth, compacted (2,730 lb/cu yd)", 2730 / 27),
    "fines": ("Stone fines, compacted", 110.0),
    "chips": ("Wood chips, shredded dry (300 lb/cu yd)", 300 / 27),
    "rubble": ("Broken concrete, loose (2,400 lb/cu yd)", 2400 / 27),
}


def layer_volume(area: float, depth: float) -> float:
    """What a layer takes up in place [cu ft]: `area` [sq ft, 0 or more] × `depth` [ft, 0 to 20].

    Net, compacted as it lies. Raises: OutsideValidity. Source: geometry.

    >>> round(layer_volume(200, 1 / 12) / 27, 3)
    0.617
    """
    return within("Area", area, 0, None, "sq ft") * within("Depth", depth, 0, 20, "ft")


def weight_bought(volume: float, density: float, loss: float) -> float:
    """What is bought [lb] for `volume` in place [cu ft] at `density` [lb/cu ft, 5 to 200] with `loss` [share, 0 to 1].

    Raises: OutsideValidity. Source: definition; the supplier's tickets replace the density.

    >>> weight_bought(100, 140, 0.08)
    15120.0
    """
    within("Weight by volume", density, 5, 200, "lb/cu ft")
    return round(volume * density * (1 + within("Loss", loss, 0, 1)), 9)


def loads(amount: float, each: float) -> int:
    """Loads of `each` that `amount` takes, both in one unit; within a billionth of a whole is that whole.

    Raises: OutsideValidity where a load holds nothing. Source: arithmetic.

    >>> loads(1300, 7)
    186
    """
    return ceil(amount / above_zero("A load", each) - _WHOLE)


def loosened(bank: float, swell: float) -> float:
    """The loose volume of what lay in the ground: `bank` [any unit] with `swell` [share, 0 to 1].

    Source: definition. Raises: OutsideValidity.

    >>> round(loosened(1000, 0.30), 6)
    1300.0
    """
    return bank * (1 + within("Swell", swell, 0, 1))


def base_footprint(area: float, edge: float, beyond: float) -> float:
    """Area of a base [sq ft] that reaches `beyond` [ft, 0 to 5] past an open `edge` [ft] of `area` [sq ft].

    The corners are left out: (4 − pi) beyond² and less. Source: trade association guide for unit pavers (base beyond
    the restrained edge by its own thickness, 6 in at least).

    >>> base_footprint(200, 40, 0.5)
    220.0
    """
    return within("Area", area, 0, None, "sq ft") + within("Open edge", edge, 0, None, "ft") * within(
        "Beyond the edge", beyond, 0, 5, "ft"
    )
