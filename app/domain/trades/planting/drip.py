"""Drip line laid in a bed: rows side by side along its longest edge, a header that feeds them, what they let out.

Rows follow the bed however the plan is turned, so moving or turning it changes no length. They keep a hand from the
outline, and what is left over is shared to both sides. Lengths in ft, flows in gallons an hour.
"""

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

INSET = 4 / 12  # ft from the outline to the first row. Common practice, no source
LEAST, MOST = 0.5, 5.0  # ft between rows
MOST_ROWS = 2_000
INCHES_AN_HOUR = 231 / 144  # of water where 1 gal an hour falls on 1 sq ft. Source: definition of the US gallon
_SURE = 1e-6


@dataclass(frozen=True, slots=True)
class DripLayout:
    """Rows where they lie [ft], how long all are, and the header that joins where they begin."""

    rows: tuple[tuple[Point, Point], ...]
    header: float

    @property
    def laid(self) -> float:
        """All rows [ft], without the header: emitters count in these."""
        return sum(dist(start, end) for start, end in self.rows)

    @property
    def length(self) -> float:
        """Line that is laid in all [ft]."""
        return self.laid + self.header


def drip_layout(outline: Outline, spacing: float) -> DripLayout:
    """Rows of drip line `spacing` [ft, 0.5 to 5] apart in an outline with openings. Source: geometry.

    A bed narrower than the spacing takes one row along its middle. Raises: BadValue.

    >>> from app.domain.plan.shapes import rectangle
    >>> found = drip_layout(rectangle(20, 10), 1.5)
    >>> len(found.rows), round(found.length, 1)
    (7, 144.3)
    """
    if not LEAST - _SURE <= spacing <= MOST:
        raise BadValue(f"Rows {spacing:.4g} ft apart were given; drip line lies 6 in to 5 ft apart.")
    frame = Frame(outline)
    room = frame.polygon.buffer(-INSET, join_style="mitre")
    if room.is_empty:
        room = frame.polygon
    rows = _rows(room, spacing)
    begins = [row[0] for row in rows]
    header = sum(dist(one, other) for one, other in pairwise(begins))
    ends = frame.outside(np.array([end for row in rows for end in row], dtype=float).reshape(-1, 2))
    return DripLayout(tuple(zip(ends[::2], ends[1::2], strict=True)), header)


def _rows(room: BaseGeometry, spacing: float) -> list[tuple[Point, Point]]:
    west, south, east, north = room.bounds
    high = north - south
    count = int(high / spacing + _SURE) + 1
    if count > MOST_ROWS:
        raise BadValue(
            f"{count:,} rows of drip line would lie here; {MOST_ROWS:,} are laid at most. Check the outline."
        )
    first = south + (high - (count - 1) * spacing) / 2
    lines = shapely.linestrings([[(west - 1, y), (east + 1, y)] for y in (first + spacing * at for at in range(count))])
    found: list[tuple[Point, Point]] = []
    for part in shapely.get_parts(shapely.intersection(lines, room)):
        ends = shapely.get_coordinates(part)
        if part.geom_type == "LineString" and part.length > _SURE:
            (x, y), (far, _) = sorted(map(tuple, ends[[0, -1]].tolist()))
            found.append(((x, y), (far, y)))
    return found


def emitters_in(laid: float, apart: float) -> int:
    """How many emitters a line of so many ft has, `apart` [ft]. Source: geometry.

    >>> emitters_in(135.3, 1.5)
    90
    """
    return int(laid / apart + _SURE)


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
