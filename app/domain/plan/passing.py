"""Where people pass: free ground between things, and the widest disk that gets through it.

A disk gets from one place to another where its middle can: in the free ground taken in by half its width. Source:
geometry (configuration space of a disk). Arcs are chords within 1/64 in; so is what is said of a width.
"""

from dataclasses import dataclass, field
from typing import Any

import shapely

from app.domain.plan.outline import Outline, chords

Shape = Any
Place = tuple[float, float]
AS_NEAR = 1 / 192  # ft: widths are found to 1/16 in
LEAST_AREA = 1e-6  # sq ft: less is noise of the geometry


@dataclass(frozen=True, slots=True)
class Passage:
    """How wide [ft] the widest way is where it is narrowest, and where that is; width 0 and no place: there is none."""

    width: float
    at: Place | None = None


@dataclass(slots=True)
class Ground:
    """Ground on which somebody can walk, with nothing in it that stands in the way."""

    free: Shape
    _inner: dict[float, tuple[Shape, ...]] = field(default_factory=dict)

    def inner(self, width: float) -> tuple[Shape, ...]:
        """The connected parts in which the middle of a disk of that width [ft] can be."""
        if width not in self._inner:
            parts = shapely.get_parts(self.free.buffer(-width / 2, quad_segs=16))
            self._inner[width] = tuple(one for one in parts if one.area > LEAST_AREA)
        return self._inner[width]

    def passes(self, start: Shape, goal: Shape, width: float) -> bool:
        """Whether a disk of that width [ft] gets from a start to a goal: it touches both."""
        return any(_touches(part, start, width) and _touches(part, goal, width) for part in self.inner(width))

    def narrowest(self, start: Shape, goal: Shape, most: float) -> Passage:
        """The widest way from a start to a goal, up to `most` [ft]: how wide it is where it is narrowest.

        >>> from app.domain.plan.shapes import rectangle
        >>> hall = ground(rectangle(20, 10), rectangle(1, 4, at=(10, 0)), rectangle(1, 3, at=(10, 7)))
        >>> found = hall.narrowest(at(2, 5), at(18, 5), 6.0)
        >>> round(found.width, 1), found.at and (round(found.at[0]), round(found.at[1], 1))
        (3.0, (10, 5.5))
        """
        if self.passes(start, goal, most - AS_NEAR):
            return Passage(most)
        least, wide = 0.0, most
        while wide - least > AS_NEAR:
            middle = (least + wide) / 2
            least, wide = (middle, wide) if self.passes(start, goal, middle) else (least, middle)
        return Passage(least, self._where(start, goal, wide)) if least > 0.0 else Passage(0.0)

    def _where(self, start: Shape, goal: Shape, width: float) -> Place:
        """The middle of the place that a disk of that width no longer passes."""
        parts = self.inner(width)
        here = [part for part in parts if _touches(part, start, width)] or [start]
        there = [part for part in parts if _touches(part, goal, width)] or [goal]
        line: Shape = shapely.shortest_line(shapely.union_all(here), shapely.union_all(there))  # type: ignore[no-untyped-call]
        middle = line.interpolate(0.5, normalized=True)
        return (middle.x, middle.y)


def _touches(part: Shape, place: Shape, width: float) -> bool:
    return bool(part.distance(place) <= width / 2 + AS_NEAR)


def ground(within: Outline, *blocked: Outline) -> Ground:
    """The ground within an outline without others."""
    return Ground(chords(within).polygon.difference(shapely.union_all([chords(one).polygon for one in blocked])))


def at(x: float, y: float) -> Shape:
    """A point [ft]."""
    return shapely.points((x, y))


def width_of(outline: Outline, most: float) -> float:
    """How wide [ft] an outline is where it is narrowest, up to `most`: the widest disk that is not stopped in it.

    >>> from app.domain.plan.shapes import rectangle
    >>> round(width_of(rectangle(30, 4), 6.0), 2)
    4.0
    """
    whole = Ground(chords(outline).polygon)
    least, wide = 0.0, most
    if len(whole.inner(most - AS_NEAR)) == 1:
        return most
    while wide - least > AS_NEAR:
        middle = (least + wide) / 2
        least, wide = (middle, wide) if len(whole.inner(middle)) == 1 else (least, middle)
    return (least + wide) / 2
