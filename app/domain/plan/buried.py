"""What lies below what: the stretches along which a line runs under outlines, and the points where two lines cross.

Where a line enters and leaves an outline is found on chords within 1/64 in; every length is told along its exact arcs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import acos, degrees, hypot
from typing import Any

import numpy as np
import shapely

from app.domain.plan.arcs import Point, Segment
from app.domain.plan.measures import bounds
from app.domain.plan.outline import FINE, Outline, chords

Box = tuple[float, float, float, float]  # west, south, east, north [ft]
_SAME = 1e-6  # ft


@dataclass(frozen=True, slots=True)
class Below:
    """A stretch of a line below an outline: its key, from where to where along the line [ft], its two ends."""

    over: str
    start: float
    end: float
    enters: Point
    leaves: Point

    @property
    def length(self) -> float:
        """Length along the line [ft]."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where two lines cross: how far along each [ft], the point, the angle between them [degrees, 0 to 90]."""

    along: float
    along_other: float
    at: Point
    angle: float


def below(line: Sequence[Segment], outlines: Mapping[str, Outline]) -> tuple[Below, ...]:
    """Every stretch of a line that lies within an outline, in the order of the line, then by key.

    What two outlines cover both is told for each. Stretches of less than a millionth of a foot are none.

    >>> from app.domain.plan.arcs import Line
    >>> from app.domain.plan.shapes import rectangle
    >>> [(one.over, one.start, one.end) for one in below([Line((-5, 5), (20, 5))], {"A": rectangle(10, 10)})]
    [('A', 5.0, 15.0)]
    """
    drawn = _Drawn.of(line)
    found: list[Below] = []
    near = drawn.box
    for key in sorted(key for key, outline in outlines.items() if _meet(near, bounds(outline))):
        polygon = chords(outlines[key], FINE).polygon
        inside = shapely.intersection(drawn.lines, polygon)
        found += (drawn.below(key, low, high) for low, high in _joined(drawn.places(inside)))
    return tuple(sorted(found, key=lambda one: (one.start, one.over)))


def covered(line: Sequence[Segment], outlines: Mapping[str, Outline]) -> float:
    """Length [ft] of a line below any of the outlines; where several lie above one another it counts once."""
    spans = sorted((one.start, one.end) for one in below(line, outlines))
    return sum(high - low for low, high in _joined(spans))


def crossings(line: Sequence[Segment], other: Sequence[Segment]) -> tuple[Crossing, ...]:
    """The points where two lines cross or touch, in the order of the first. Lines that run along each other do not.

    >>> from app.domain.plan.arcs import Line
    >>> crossings([Line((0, 0), (10, 0))], [Line((4, -3), (4, 5))])
    (Crossing(along=4.0, along_other=3.0, at=(4.0, 0.0), angle=90.0),)
    """
    here, there = _Drawn.of(line), _Drawn.of(other)
    ours, theirs = shapely.STRtree(there.lines).query(here.lines, predicate="intersects")  # type: ignore[no-untyped-call]
    found: dict[tuple[float, float], Crossing] = {}
    for one, two in sorted(zip(ours.tolist(), theirs.tolist(), strict=True)):
        meeting: Any = shapely.intersection(here.lines[one], there.lines[two])
        if meeting.geom_type != "Point":
            continue
        at = (float(meeting.x), float(meeting.y))
        along, along_other = here.along(one, at), there.along(two, at)
        angle = _angle(here.ways[one], there.ways[two])
        found.setdefault((round(along, 4), round(along_other, 4)), Crossing(along, along_other, at, angle))
    return tuple(sorted(found.values(), key=lambda one: (one.along, one.along_other)))


def _angle(one: Point, other: Point) -> float:
    cosine = abs(one[0] * other[0] + one[1] * other[1]) / (hypot(*one) * hypot(*other))
    return degrees(acos(min(cosine, 1.0)))


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A line as chords: each with its place along the line [ft] and the length of arc it stands for."""

    lines: Any
    starts: list[Point]
    ways: list[Point]
    begun: list[float]
    exact: list[float]

    @classmethod
    def of(cls, line: Sequence[Segment]) -> "_Drawn":
        starts: list[Point] = []
        ends: list[Point] = []
        exact: list[float] = []
        for piece in line:
            points = [*piece.points(FINE), piece.end]
            starts += points[:-1]
            ends += points[1:]
            exact += [piece.length / (len(points) - 1)] * (len(points) - 1)
        begun = [0.0]
        for length in exact:
            begun.append(begun[-1] + length)
        ways = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(starts, ends, strict=True)]
        lines = np.asarray(shapely.linestrings(list(zip(starts, ends, strict=True))))
        return cls(lines, starts, ways, begun, exact)

    @property
    def box(self) -> Box:
        """The box around it."""
        west, south, east, north = shapely.total_bounds(self.lines).tolist()  # type: ignore[no-untyped-call]
        return west, south, east, north

    def along(self, chord: int, point: Point) -> float:
        """How far along the line a point on a chord lies [ft]."""
        (x, y), (east, north) = self.starts[chord], self.ways[chord]
        share = ((point[0] - x) * east + (point[1] - y) * north) / (east * east + north * north)
        return self.begun[chord] + min(max(share, 0.0), 1.0) * self.exact[chord]

    def places(self, inside: Any) -> list[tuple[float, float]]:
        """From where to where along the line the parts of its chords run."""
        parts, chord = shapely.get_parts(inside, return_index=True)
        spans = []
        for part, number in zip(parts, chord.tolist(), strict=True):
            if part.geom_type == "LineString" and not part.is_empty:
                ends = [self.along(number, (x, y)) for x, y in part.coords]
                spans.append((min(ends), max(ends)))
        return sorted(spans)

    def below(self, over: str, low: float, high: float) -> Below:
        return Below(over, low, high, self._point(low), self._point(high))

    def _point(self, along: float) -> Point:
        chord = max(0, min(int(np.searchsorted(self.begun, along, "right")) - 1, len(self.exact) - 1))
        share = (along - self.begun[chord]) / self.exact[chord]
        (x, y), (east, north) = self.starts[chord], self.ways[chord]
        return x + share * east, y + share * north


def _meet(one: Box, other: Box) -> bool:
    """Whether two boxes meet: what they hold can then be cut, else it lies apart."""
    return one[0] <= other[2] and one[2] >= other[0] and one[1] <= other[3] and one[3] >= other[1]


def _joined(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spans in order, those that run on or lie over one another made one."""
    joined: list[tuple[float, float]] = []
    for low, high in spans:
        if joined and low <= joined[-1][1] + _SAME:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return [(low, high) for low, high in joined if high - low > _SAME]
