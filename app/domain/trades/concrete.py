"""Concrete poured in place: volume, bags or a truck with its charge for a short load, bars, forms, joints."""

from collections.abc import Mapping
from math import ceil, floor, pi

from app.domain.trades.validity import above_zero, within

_WHOLE = 1e-9
CUBIC_YARD = 27.0
# cu ft of concrete one bag makes: printed yields of dry mixes, 0.60, 0.45, 0.30 cu ft (45, 60, 90 bags a cubic yard)
BAG_YIELDS: Mapping[str, float] = {"80": 0.60, "60": 0.45, "40": 0.30}
# diameter [in] and weight [lb/ft] of deformed bars: ASTM A615/A615M, table 1
BARS: Mapping[str, tuple[float, float]] = {
    "3": (0.375, 0.376),
    "4": (0.500, 0.668),
    "5": (0.625, 1.043),
    "6": (0.750, 1.502),
}


def slab_volume(area: float, depth: float, loss: float) -> float:
    """Concrete ordered for a slab [cu ft]: `area` [sq ft] × `depth` [ft, 2 to 24 in] × (1 + `loss`) [share, 0 to 0.5].

    Raises: OutsideValidity. Source: geometry.

    >>> round(slab_volume(180, 0.25, 0) / 27, 3)
    1.667
    """
    within("Thickness", depth, 2 / 12, 2, "ft")
    return above_zero("Area", area, "sq ft") * depth * (1 + within("Loss", loss, 0, 0.5))


def pier_volume(diameter: float, depth: float) -> float:
    """Concrete of one round pier or post hole [cu ft]: `diameter` [ft, 0.25 to 4], `depth` [ft, to 12].

    Gross: a post in it is not taken off. Raises: OutsideValidity. Source: geometry.

    >>> round(pier_volume(1, 2.75), 3)
    2.16
    """
    within("Diameter", diameter, 0.25, 4, "ft")
    return pi * diameter**2 / 4 * within("Depth", above_zero("Depth", depth, "ft"), None, 12, "ft")


def bags(volume: float, bag_yield: float) -> int:
    """Whole bags for `volume` [cu ft] where one makes `bag_yield` [cu ft, 0.1 to 1.5].

    Raises: OutsideValidity. Source: the yield printed on the bag.

    >>> bags(27, 0.60), bags(2.16, 0.30)
    (45, 8)
    """
    return ceil(volume / within("A bag makes", bag_yield, 0.1, 1.5, "cu ft") - _WHOLE)


def truck_yards(volume: float, step: float) -> float:
    """Cubic yards ordered from a truck for `volume` [cu ft], up to the next `step` [cu yd, 0.25 to 1].

    Raises: OutsideValidity. Source: common practice, no source (plants sell by the quarter, half or whole yard).

    >>> truck_yards(45, 0.5), truck_yards(45, 1)
    (2.0, 2)
    """
    within("Sold by", step, 0.25, 1, "cu yd")
    return ceil(volume / CUBIC_YARD / step - _WHOLE) * step


def short_by(ordered: float, full: float) -> float:
    """Cubic yards by which an order is short of the least that comes without a charge; 0 where it is not.

    >>> short_by(2, 6)
    4.0
    """
    return max(0.0, float(full - ordered))


def bars_across(length: float, cover: float, spacing: float) -> int:
    """Bars laid side by side over `length` [ft] with `cover` [ft] at both ends, no further apart than `spacing` [ft].

    Raises: OutsideValidity where the cover takes the whole length. Source: geometry.

    >>> bars_across(12, 0.25, 1.5)
    9
    """
    above_zero("Spacing", spacing, "ft")
    between = above_zero("Length between the covers", length - 2 * cover, "ft")
    return ceil(between / spacing - _WHOLE) + 1


def bar_length(length: float, width: float, *, cover: float, spacing: float, stock: float, lap: float) -> float:
    """Bar in a mat both ways [ft], with a lap where a bar is longer than its `stock` [ft].

    All in feet. Raises: OutsideValidity. Source: geometry; laps by ACI 318 or the drawing, 30 to 40 diameters commonly.

    >>> bar_length(12, 10, cover=0.25, spacing=1.5, stock=20, lap=1.5)
    177.5
    """
    within("Lap", lap, 0, stock / 2, "ft")

    def one(clear: float) -> float:
        pieces = max(1, ceil((clear - lap) / (stock - lap) - _WHOLE))
        return clear + (pieces - 1) * lap

    along, across = bars_across(width, cover, spacing), bars_across(length, cover, spacing)
    return along * one(length - 2 * cover) + across * one(width - 2 * cover)


def most_joint_spacing(depth: float) -> float:
    """How far joints may lie apart in a plain slab [ft]: 30 times its `depth` [ft, 3 to 12 in], 15 ft at most.

    Raises: OutsideValidity. Source: American Concrete Institute guide for slabs, 24 to 36 times the thickness; the
    15 ft is common practice.

    >>> most_joint_spacing(4 / 12)
    10.0
    """
    return min(30 * within("Thickness", depth, 3 / 12, 1, "ft"), 15.0)


def joints(length: float, spacing: float) -> int:
    """Joints across `length` [ft] so that no panel is longer than `spacing` [ft].

    >>> joints(20, 10), joints(21, 10)
    (1, 2)
    """
    return max(0, ceil(length / above_zero("Spacing", spacing, "ft") - _WHOLE) - 1)


def stakes(length: float, apart: float) -> int:
    """Stakes along `length` of form [ft], one each `apart` [ft] and one at the end.

    >>> stakes(44, 3)
    15
    """
    return floor(length / above_zero("Stakes apart", apart, "ft") + _WHOLE) + 1
