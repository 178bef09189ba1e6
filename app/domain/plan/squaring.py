"""Square up: corners that are nearly square and edges that are nearly parallel become exactly so, moving least."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

import numpy as np

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line, Point, Ring, Segment
from app.domain.plan.open_lines import piece_between
from app.domain.plan.outline import Outline, outline_of_rings
from app.domain.plan.pieces import rise_of
from app.domain.plan.wkt import read_rings

NEARLY = 5.0  # degrees off square or parallel that count as meant so
MOST_NEARLY = 20.0
SQUARE_ALREADY = 1e-9  # ft
_LEAST_TURN = 1e-9  # rad


@dataclass(frozen=True, slots=True)
class Squared:
    """An outline or line squared up, and how far [ft] the point that moved most was moved."""

    pieces: tuple[Ring, ...]
    moved: float


def square_up(outline: Outline, *, within: float = NEARLY) -> tuple[Outline, float]:
    """The outline with edges within `within` [degrees, 0 to 20] of square or parallel to a longer one made exactly so.

    Points move as little as possible in sum of squares; the second value is how far [ft] the furthest was moved. Arcs
    keep the angle they turn through. Nothing off: the outline itself and 0.
    Raises: BadValue for an angle out of range; OutlineCrossesItself where squaring would cross edges.

    >>> from app.domain.plan.shapes import parse_points
    >>> squared, moved = square_up(parse_points("0,0 / 20,0.2 / 20,12 / 0,12"))
    >>> squared.wkt, round(moved, 3)
    ('POLYGON ((0 0.1, 20 0.1, 20 12, 0 12, 0 0.1))', 0.1)
    """
    rings = read_rings(outline.wkt)
    squared = _squared(rings, within, closed=True)
    if squared.moved < SQUARE_ALREADY:
        return outline, 0.0
    return outline_of_rings(squared.pieces), squared.moved


def square_up_line(line: Sequence[Segment], *, within: float = NEARLY) -> tuple[tuple[Segment, ...], float]:
    """A line squared up, as `square_up`."""
    squared = _squared((tuple(line),), within, closed=False)
    return (tuple(line), 0.0) if squared.moved < SQUARE_ALREADY else (squared.pieces[0], squared.moved)


def _squared(rings: Sequence[Ring], within: float, *, closed: bool) -> Squared:
    if not 0 <= within <= MOST_NEARLY:
        raise BadValue(f"{within:g}° is no angle for squaring up. Type 0 to {MOST_NEARLY:.0f} degrees.", field="within")
    points = [piece.start for ring in rings for piece in ring]
    ends: list[tuple[int, int]] = []
    for ring in rings:
        first = len(ends)
        ends += [(first + place, first + (place + 1) % len(ring)) for place in range(len(ring))]
    if not closed:
        points.append(rings[0][-1].end)
        ends[-1] = (len(points) - 2, len(points) - 1)
    pieces = [piece for ring in rings for piece in ring]
    found = _moved(points, [(pair, piece) for pair, piece in zip(ends, pieces, strict=True)], within)
    furthest = max(hypot(a[0] - b[0], a[1] - b[1]) for a, b in zip(found, points, strict=True))
    placed = iter(_placed(piece, found[a], found[b]) for (a, b), piece in zip(ends, pieces, strict=True))
    return Squared(tuple(tuple(next(placed) for _ in ring) for ring in rings), furthest)


def _moved(points: Sequence[Point], edges: list[tuple[tuple[int, int], Segment]], within: float) -> list[Point]:
    """The points moved least, so that each edge runs along its direction: a projection onto what that asks."""
    asked = []
    for (start, end), direction in _directions(edges, within):
        row = np.zeros(2 * len(points))
        x, y = -sin(direction), cos(direction)
        row[2 * end : 2 * end + 2] = x, y
        row[2 * start : 2 * start + 2] = -x, -y
        asked.append(row)
    if not asked:
        return list(points)
    matrix, known = np.array(asked), np.array(points).ravel()
    off = matrix @ known
    if float(np.abs(off).max()) < SQUARE_ALREADY:
        return list(points)
    result = known - np.linalg.pinv(matrix) @ off
    return [(round(float(x), 9) + 0.0, round(float(y), 9) + 0.0) for x, y in result.reshape(-1, 2)]


def _directions(edges: list[tuple[tuple[int, int], Segment]], within: float) -> list[tuple[tuple[int, int], float]]:
    """The straight edges that are nearly square or parallel to a longer one, each with the direction it should have."""
    straight = [(pair, piece) for pair, piece in edges if isinstance(piece, Line)]
    straight.sort(key=lambda one: -one[1].length)
    frames: list[float] = []
    found: list[tuple[tuple[int, int], float]] = []
    for pair, piece in straight:
        bearing = atan2(piece.end[1] - piece.start[1], piece.end[0] - piece.start[0])
        frame = next((one for one in frames if abs(_off(bearing, one)) <= within * pi / 180 + _LEAST_TURN), None)
        if frame is None:
            frames.append(frame := _upright(bearing, within))
        found.append((pair, bearing - _off(bearing, frame)))
    return found


def _upright(bearing: float, within: float) -> float:
    """A direction of its own; exactly level or upright where it nearly is."""
    return 0.0 if abs(_off(bearing, 0.0)) <= min(within, 1.0) * pi / 180 else bearing


def _off(bearing: float, frame: float) -> float:
    """How far a direction is off parallel or square to another [rad, -45° to 45°]."""
    return (bearing - frame + pi / 4) % (pi / 2) - pi / 4


def _placed(piece: Segment, start: Point, end: Point) -> Segment:
    if isinstance(piece, Arc):
        old = hypot(piece.end[0] - piece.start[0], piece.end[1] - piece.start[1])
        new = hypot(end[0] - start[0], end[1] - start[1])
        return (
            piece if (start, end) == (piece.start, piece.end) else piece_between(start, end, rise_of(piece) * new / old)
        )
    return Line(start, end)
