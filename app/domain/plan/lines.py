"""Lines: the corner points of a wall, a pipe or a conduit, in feet from the datum, as typed."""

from itertools import pairwise
from math import hypot

from app.domain.errors import BadValue
from app.domain.units import System, format_length, parse_length

Point = tuple[float, float]
MOST_POINTS = 200


def parse_line(text: str, *, system: System = "feet") -> tuple[Point, ...]:
    """Corner points [ft] from text: pairs `right, front` between slashes or on lines of their own.

    Raises: BadValue with the pair that is not understood.

    >>> parse_line("0,0 / 12 ft 6, 0 / 12.5, 8")
    ((0.0, 0.0), (12.5, 0.0), (12.5, 8.0))
    """
    items = [item.strip() for item in text.replace("\n", "/").split("/ " if "/ " in text else "/") if item.strip(" /")]
    if not 2 <= len(items) <= MOST_POINTS:
        raise BadValue(f"A line needs 2 to {MOST_POINTS} points; {len(items)} were typed. Write 0,0 / 12,0 / 12,8.")
    return tuple(_point(item, system) for item in items)


def _point(item: str, system: System) -> Point:
    parts = [part for part in item.strip(" /").split(",") if part.strip()]
    if len(parts) != 2:
        raise BadValue(f"“{item}” is not a point. Write two lengths with a comma between them, such as 12' 6\", 8.")
    across, front = (parse_length(part, system=system, signed=True).feet for part in parts)
    return across, front


def line_length(points: tuple[Point, ...]) -> float:
    """The length of a line through its points [ft].

    >>> line_length(((0, 0), (3, 4), (3, 10)))
    11.0
    """
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))


def typed_line(points: tuple[Point, ...], *, system: System = "feet") -> str:
    """The points as they could be typed."""
    return " / ".join(f"{_shown(x, system)}, {_shown(y, system)}" for x, y in points)


def _shown(value: float, system: System) -> str:
    return ("-" if value < 0 else "") + format_length(abs(value), system)
