"""The lines of a lot: which of them a point lies on, the strip along one, the line that keeps a distance from it."""

from math import atan2, degrees
from typing import Any

import shapely

from app.domain.plan.arcs import Point, Segment
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import FINE, Outline, chords, rings_of
from app.domain.plan.pieces import away

ON_LINE = 1.0  # ft: a point this near to a lot line names it. Assumption: a corrected plat moves lines by less

Shape = Any


def lines_of(lot: Outline) -> tuple[Segment, ...]:
    """The edges and arcs of a lot's outer ring, counterclockwise.

    >>> from app.domain.plan import rectangle
    >>> [one.length for one in lines_of(rectangle(60, 100))]
    [60.0, 100.0, 60.0, 100.0]
    """
    return rings_of(lot)[0]


def line_at(lot: Outline, point: Point) -> int | None:
    """The number of the lot line that a point lies on; None where it lies on none.

    >>> from app.domain.plan import rectangle
    >>> line_at(rectangle(60, 100), (30, 0)), line_at(rectangle(60, 100), (30, 50))
    (0, None)
    """
    far, number = min((away(line, point), number) for number, line in enumerate(lines_of(lot)))
    return number if far <= ON_LINE else None


def faces(line: Segment) -> float:
    """Where the chord of a lot line faces, away from the lot [degrees clockwise from the top of the plan].

    >>> from app.domain.plan import rectangle
    >>> [faces(one) for one in lines_of(rectangle(60, 100))]
    [180.0, 90.0, 0.0, 270.0]
    """
    east, north = line.end[0] - line.start[0], line.end[1] - line.start[1]
    return degrees(atan2(north, -east)) % 360


def way_of(line: Segment) -> Shape:
    """A lot line for the geometry library: chords within 1/64 in of an arc."""
    return shapely.linestrings([*line.points(FINE), line.end])


def strip(lot: Outline, line: Segment, width: float) -> Shape:
    """The ground of a lot within `width` [ft] of one of its lines. Source: geometry.

    >>> from app.domain.plan import rectangle
    >>> lot = rectangle(60, 100)
    >>> strip(lot, lines_of(lot)[0], 6).area
    360.0
    """
    return chords(lot).polygon.intersection(way_of(line).buffer(width, quad_segs=32))


def strip_along(points: tuple[Point, ...], rises: tuple[float, ...], width: float) -> Shape:
    """The ground within half of `width` [ft] of a line that runs in its middle: square at ends and corners.

    Source: geometry; its area is its width times the way its middle goes (Pappus of Alexandria), while it is no wider
    than its bends.

    >>> round(strip_along(((0, 0), (30, 0), (30, 20)), (), 10).area, 6)
    500.0
    """
    line = shapely.linestrings(fine_points(points, rises))
    return line.buffer(width / 2, cap_style="flat", join_style="mitre")


def kept_off(lot: Outline, line: Segment, distance: float) -> Shape:
    """Where the ground of a lot begins that keeps `distance` [ft] from one of its lines: its edge within the lot."""
    return way_of(line).buffer(distance, quad_segs=32).boundary.intersection(chords(lot).polygon.buffer(-FINE))
