"""Drip line laid in a bed: in rows along its longest edge or around as its outline runs, with what joins the lines.

Lines follow the bed however the plan is turned, so moving or turning it changes no length. They keep a hand from the
outline and from openings. Rows share what is left over to both sides; lines around lie one within the other, the last
one where the middle would else stay dry. Emitters are placed one by one. Lengths in ft, flows in gallons an hour.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, dist

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.domain.errors import BadValue
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline
from app.domain.trades.planting.placing import Frame

INSET = 4 / 12  # ft from the outline to the first line. Common practice, no source
LEAST, MOST = 0.5, 5.0  # ft between lines
MOST_LINES = 2_000
AROUND = "around"  # the way of laying that follows the outline; else rows
INCHES_AN_HOUR = 231 / 144  # of water where 1 gal an hour falls on 1 sq ft. Source: definition of the US gallon
_SURE = 1e-6
Ring = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class DripLayout:
    """Lines where they lie [ft], those around with their first point again at the end, and what joins them."""

    lines: tuple[tuple[Point, ...], ...]
    joins: tuple[tuple[Point, Point], ...]

    @property
    def laid(self) -> float:
        """All lines [ft], without what joins them: emitters count in these."""
        return sum(dist(one, other) for line in self.lines for one, other in pairwise(line))

    @property
    def header(self) -> float:
        """What joins the lines [ft], without emitters."""
        return sum(dist(one, other) for one, other in self.joins)

    @property
    def length(self) -> float:
        """Line that is laid in all [ft]."""
        return self.laid + self.header

    @property
    def fittings(self) -> int:
        """Tees where lines are joined, and what ends or feeds a line that is not joined there.

        >>> DripLayout((((0.0, 0.0), (9.0, 0.0)), ((0.0, 2.0), (9.0, 2.0))), (((0.0, 0.0), (0.0, 2.0)),)).fittings
        4
        """
        joined = {point for join in self.joins for point in join}
        ends = [end for line in self.lines if line[0] != line[-1] for end in (line[0], line[-1])]
        return len(joined) + sum(end not in joined for end in ends)


def drip_layout(outline: Outline, spacing: float, way: str = "") -> DripLayout:
    """Drip line `spacing` [ft, 0.5 to 5] apart in an outline with openings. Source: geometry.

    `way`: "around" as the outline runs, else in rows; a bed narrower than the spacing takes one line along its middle.
    Raises: BadValue.

    >>> from app.domain.plan.shapes import rectangle
    >>> found = drip_layout(rectangle(20, 10), 1.5)
    >>> len(found.lines), round(found.length, 1)
    (7, 144.3)
    >>> around = drip_layout(rectangle(20, 10), 1.5, AROUND)
    >>> len(around.lines), round(around.laid, 1)
    (4, 146.7)
    """
    if not LEAST - _SURE <= spacing <= MOST:
        raise BadValue(f"Lines {spacing:.4g} ft apart were given; drip line lies 6 in to 5 ft apart.")
    frame = Frame(outline)
    room = frame.polygon.buffer(-INSET, join_style="mitre")
    around = way == AROUND and not room.is_empty
    if around:
        found, joins = _rings(room, spacing)
    else:
        found = _rows(frame.polygon if room.is_empty else room, spacing)
        joins = [(one[0], other[0]) for one, other in pairwise(found)]
    if len(found) > MOST_LINES:
        raise BadValue(f"{len(found):,} lines would lie here; {MOST_LINES:,} are laid at most. Check the outline.")
    return DripLayout(
        tuple(_outside(frame, line) for line in found),
        tuple((one, other) for one, other in (_outside(frame, pair) for pair in joins)),
    )


def _outside(frame: Frame, points: tuple[Point, ...]) -> tuple[Point, ...]:
    return frame.outside(np.array(points, dtype=float).reshape(-1, 2))


def _rings(room: BaseGeometry, spacing: float) -> tuple[list[Ring], list[tuple[Point, Point]]]:
    """Lines around, from the outline and its openings inward, and what joins each to those it lies within."""
    found: list[Ring] = []
    joins: list[tuple[Point, Point]] = []
    waiting: list[tuple[BaseGeometry, list[Ring]]] = [(room, [])]
    while waiting and len(found) <= MOST_LINES:
        shape, outer = waiting.pop()
        for part in _polygons(shape):
            own = _laid(part, spacing, outer or found, joins)
            found += own
            within = part.buffer(-spacing, join_style="mitre")
            if not within.is_empty:
                waiting.append((within, own))
            elif (half := _half(part)) > spacing / 2 + _SURE:  # one more where the middle would else stay dry
                for rest in _polygons(part.buffer(-half / 2, join_style="mitre")):
                    found += _laid(rest, spacing, own, joins)
    return found, joins


def _laid(part: BaseGeometry, spacing: float, outer: list[Ring], joins: list[tuple[Point, Point]]) -> list[Ring]:
    """The lines around a part, each joined to the nearest of those it lies within, or of its own before it."""
    lines = _around(part, spacing)
    for at, line in enumerate(lines):
        near = [shapely.linestrings(one) for one in (*outer, *lines[:at])]
        if near:
            drawn = shapely.linestrings(line)
            nearest = near[int(np.argmin(shapely.distance(drawn, near)))]
            ends = shapely.get_coordinates(shapely.shortest_line(drawn, nearest)).tolist()
            joins.append(((ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])))
    return lines


def _polygons(shape: BaseGeometry) -> list[BaseGeometry]:
    return [one for one in shapely.get_parts(shape).tolist() if one.geom_type == "Polygon" and not one.is_empty]


def _half(part: BaseGeometry) -> float:
    """How far the innermost point of a part lies from its edge [ft]."""
    return float(shapely.maximum_inscribed_circle(part, tolerance=0.02).length)


def _around(part: BaseGeometry, spacing: float) -> list[Ring]:
    """The lines around a part and its openings; of one so thin that they would lie side by side, one side of it."""
    rings = [tuple((x, y) for x, y in ring.coords) for ring in (part.exterior, *part.interiors)]
    if len(rings) > 1 or not part.buffer(-spacing / 4, join_style="mitre").is_empty:
        return rings
    corners = rings[0][:-1]
    far = max(range(1, len(corners)), key=lambda at: dist(corners[0], corners[at]))
    first = max(range(len(corners)), key=lambda at: dist(corners[far], corners[at]))
    low, high = sorted((first, far))
    return [corners[low : high + 1]]


def _rows(room: BaseGeometry, spacing: float) -> list[Ring]:
    west, south, east, north = room.bounds
    high = north - south
    count = int(high / spacing + _SURE) + 1
    if count > MOST_LINES:
        raise BadValue(
            f"{count:,} rows of drip line would lie here; {MOST_LINES:,} are laid at most. Check the outline."
        )
    first = south + (high - (count - 1) * spacing) / 2
    lines = shapely.linestrings([[(west - 1, y), (east + 1, y)] for y in (first + spacing * at for at in range(count))])
    found: list[Ring] = []
    for part in shapely.get_parts(shapely.intersection(lines, room)):
        ends = shapely.get_coordinates(part)
        if part.geom_type == "LineString" and part.length > _SURE:
            (x, y), (far, _) = sorted(map(tuple, ends[[0, -1]].tolist()))
            found.append(((x, y), (far, y)))
    return found


def emitters_on(layout: DripLayout, apart: float) -> tuple[Point, ...]:
    """Where the emitters of a layout lie, `apart` [ft] along each line, the first half of that from its beginning.

    A line cut shorter than half of that has none. Source: geometry.

    >>> [(round(x, 2), y) for x, y in emitters_on(DripLayout((((0.0, 0.0), (4.0, 0.0)),), ()), 1.5)]
    [(0.75, 0.0), (2.25, 0.0), (3.75, 0.0)]
    """
    found: list[Point] = []
    for line in layout.lines:
        drawn = shapely.linestrings(line)
        at = np.arange(apart / 2, float(drawn.length) + _SURE, apart)
        points = shapely.get_coordinates(shapely.line_interpolate_point(drawn, at)).tolist()
        found += [(x, y) for x, y in points]
    return tuple(found)


def emitters_by(plants: Sequence[Point], emitters: Sequence[Point], reach: float) -> tuple[int, ...]:
    """How many emitters lie within `reach` [ft] of each plant; the nearest one at least, where there is any.

    >>> emitters_by([(0.0, 0.0), (9.0, 0.0)], [(0.5, 0.0), (0.0, 0.5)], 1.0)
    (2, 1)
    """
    if not plants or not emitters:
        return (0,) * len(plants)
    near = shapely.STRtree(shapely.points(list(emitters))).query(
        shapely.points(list(plants)), predicate="dwithin", distance=reach
    )
    counted = np.bincount(near[0], minlength=len(plants))
    return tuple(max(1, int(one)) for one in counted)


def valves_for(flow: float, most: float) -> int:
    """How many valves a flow [gal/h] takes at `most` [gal/h] each; one at least.

    >>> valves_for(54, 200), valves_for(200.1, 200)
    (1, 2)
    """
    return max(1, ceil(flow / most - _SURE))


def rain_rate(flow: float, area: float) -> float:
    """How fast a flow [gal/h] waters an area [sq ft]: in of water an hour. Source: definition of the US gallon.

    >>> round(rain_rate(54, 200), 3)
    0.433
    """
    return INCHES_AN_HOUR * flow / area


def minutes_for(depth: float, rate: float) -> float:
    """How long a line of `rate` [in of water an hour] runs for a `depth` of water [in]: minutes. Source: arithmetic.

    >>> round(minutes_for(0.18, 0.43))
    25
    """
    return depth / rate * 60 if rate > 0 else 0.0
