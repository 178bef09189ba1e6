"""Earth moved: bank, loose and placed; cut and fill by end areas, by a grid, by triangles between points.

Cut is above the finish, fill below; both in place [cu ft].
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import shapely

from app.domain.trades.validity import OutsideValidity, above_zero, within

# share by which soil loosens when dug, and shrinks below its bank volume when placed: FM 5-434, table 1-1 (from memory;
# the first row is also printed in NAVEDTRA 14080)
SOILS: Mapping[str, tuple[str, float, float]] = {
    "sand": ("Sand or gravel", 0.11, 0.05),
    "earth": ("Common earth", 0.25, 0.10),
    "clay": ("Clay", 0.43, 0.10),
    "rock": ("Blasted rock", 0.50, -0.30),
}
MOST_POINTS = 2000


class Moved(NamedTuple):
    """Earth to take off and to bring [cu ft in place], over an area [sq ft]."""

    cut: float
    fill: float
    area: float


def placed_of(bank: float, shrink: float) -> float:
    """Volume placed and compacted of what lay in the ground: `bank` [any unit], `shrink` [share, -0.5 to 0.5].

    Raises: OutsideValidity. Source: definition.

    >>> round(placed_of(100, 0.05), 6)
    95.0
    """
    return bank * (1 - within("Shrinks by", shrink, -0.5, 0.5))


def bank_of(placed: float, shrink: float) -> float:
    """What must lie in the ground for a `placed` volume. Raises: OutsideValidity.

    >>> round(bank_of(817, 0.14), 6)
    950.0
    """
    return placed / (1 - within("Shrinks by", shrink, -0.5, 0.5))


def loose_of(bank: float, swell: float) -> float:
    """Volume of what was dug, on the truck: `swell` [share, 0 to 1]. Raises: OutsideValidity.

    >>> round(loose_of(100, 0.11), 6)
    111.0
    """
    return bank * (1 + within("Loosens by", swell, 0, 1))


def end_areas(sections: Sequence[tuple[float, float, float]]) -> tuple[tuple[float, float], ...]:
    """Cut and fill between neighboring sections [cu ft]: each is (station [ft], cut area, fill area [sq ft]).

    The mean of two end areas times the distance; stations rise. Overstates where one area is nothing (a wedge by a
    half, a pyramid by half as much again). Raises: OutsideValidity. Source: average end area method.

    >>> end_areas([(0, 114.3, 0), (75, 232.4, 0)])
    ((13001.25, 0.0),)
    """
    if len(sections) < 2:
        raise OutsideValidity("Two sections and more are wanted: each with its station, cut and fill.")
    found = []
    for (one, cut, fill), (two, next_cut, next_fill) in pairwise(sections):
        if two <= one:
            raise OutsideValidity(f"Station {two:g} does not lie beyond {one:g}: put the sections in order.")
        for area in (cut, fill, next_cut, next_fill):
            within("Area of a section", area, 0, None, "sq ft")
        found.append(((cut + next_cut) / 2 * (two - one), (fill + next_fill) / 2 * (two - one)))
    return tuple(found)


def grid_cell(depths: Sequence[float], side: float, other: float) -> Moved:
    """One cell of a grid: depths at its four corners [ft, + is cut], its sides [ft].

    All of one sign: their mean times the area. Of both, the area is shared: cut = A c² / (4 (c + f)), c and f the
    sums of depths. Raises: OutsideValidity. Source: four-point method of grading texts.

    >>> grid_cell([1.4, 1.4, 1.2, 1.3], 50, 50).cut
    3312.5
    """
    area = above_zero("Side of the grid", side, "ft") * above_zero("Side of the grid", other, "ft")
    cut, fill = sum(max(one, 0.0) for one in depths), sum(max(-one, 0.0) for one in depths)
    if not cut or not fill:
        return Moved(cut / 4 * area, fill / 4 * area, area)
    return Moved(area * cut**2 / (4 * (cut + fill)), area * fill**2 / (4 * (cut + fill)), area)


def grid(rows: Sequence[Sequence[float]], side: float, other: float) -> Moved:
    """A grid of depths [ft, + is cut] at its corners, row by row, all rows alike long.

    Raises: OutsideValidity.

    >>> grid([[0, 0, 0], [1, 1, 1]], 10, 10)
    Moved(cut=100.0, fill=0.0, area=200)
    """
    if len(rows) < 2 or len(rows[0]) < 2 or any(len(row) != len(rows[0]) for row in rows):
        raise OutsideValidity("A grid wants two rows and more, each with as many depths as the first, two at least.")
    cells = [
        grid_cell((above[at], above[at + 1], below[at], below[at + 1]), side, other)
        for above, below in pairwise(rows)
        for at in range(len(above) - 1)
    ]
    return Moved(*(sum(one[part] for one in cells) for part in range(3)))


def triangles(points: Sequence[tuple[float, float, float]]) -> Moved:
    """Cut and fill between points (x, y [ft], depth [ft, + is cut]), flat between each three; all within their hull.

    3 to 2,000 points, no two at one place. Exact for those triangles: the line where cut turns to fill splits them.
    Raises: OutsideValidity. Source: geometry (Delaunay's triangles).

    >>> triangles([(0, 0, 1), (10, 0, 1), (0, 10, 1), (10, 10, 1)])
    Moved(cut=100.0, fill=0.0, area=100.0)
    """
    within("Points", len(points), 3, MOST_POINTS)
    depths = {(float(x), float(y)): float(depth) for x, y, depth in points}
    if len(depths) < len(points):
        raise OutsideValidity("Two points lie at one place. Keep one of them.")
    drawn: Any = shapely.delaunay_triangles(shapely.multipoints(list(depths)))  # type: ignore[no-untyped-call]
    corners = shapely.get_coordinates(drawn).reshape(-1, 4, 2)[:, :3]
    if not len(corners):
        raise OutsideValidity("The points lie in one line: at least one beside it is wanted.")
    cut = fill = area = 0.0
    for (ax, ay), (bx, by), (cx, cy) in corners.tolist():
        own = abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) / 2
        up, down = _prism(depths[ax, ay], depths[bx, by], depths[cx, cy])
        cut, fill, area = cut + up * own, fill + down * own, area + own
    return Moved(cut, fill, area)


def _prism(one: float, two: float, three: float) -> tuple[float, float]:
    """Mean depth of cut and of fill over a triangle with these depths at its corners.

    Where one corner lies on the other side, what is there is a pyramid: its depth h, and the shares of the two sides
    up to where the depth is nothing, give h³ / (3 (h - a) (h - b)).
    """
    mean = (one + two + three) / 3
    low, middle, high = sorted((one, two, three))
    if low >= 0:
        return mean, 0.0
    if high <= 0:
        return 0.0, -mean
    if middle >= 0:
        alone = -(low**3) / (3 * (middle - low) * (high - low))  # a pyramid of fill
        return mean + alone, alone
    alone = high**3 / (3 * (high - low) * (high - middle))
    return alone, alone - mean
