"""Lines as people type them: the corner points of a wall, a pipe or a conduit, in feet from the datum, with arcs.

    0, 0 / 12, 0 / arc 12, 8 right 2 / 20, 8

An item `arc X, Y right 2` ends at the point and bulges two feet to the right of the way there, `left 2` to its left;
`arc X, Y through X, Y` passes through the second point.
"""

import re
from collections.abc import Sequence
from itertools import pairwise

from app.domain.errors import BadValue
from app.domain.plan.arcs import Point, arc_through
from app.domain.plan.open_lines import Points, Rises
from app.domain.plan.pieces import rise_of
from app.domain.plan.shapes import NO_MARKS, Marks, is_mark, mark_on, parse_place
from app.domain.plan.walks import walk_of_line
from app.domain.units import System, format_length, parse_length
from app.domain.units.dimension import FOOT_IN_METERS

MOST_POINTS = 200
_EXACT = 1e-9  # ft
# a mark may be called “Sill left”: the last way is the one that is meant
_ARC_BY_NAME = re.compile(r"arc\s+(?P<end>.+)\s+(?P<through>(?!))?(?P<way>right|left)\s+(?P<rise>.+)", re.IGNORECASE)
_ARC_BEGINS = re.compile(r"arc\b", re.IGNORECASE)
_ARC = re.compile(
    r"arc\s+(?P<end>.+?)\s+(?:through\s+(?P<through>.+)|(?P<way>right|left)\s+(?P<rise>.+))", re.IGNORECASE
)


def parse_line(text: str, *, system: System = "feet", marks: Marks = NO_MARKS) -> tuple[Points, Rises]:
    """Points and rises [ft] of a line from text: pairs `right, up` between slashes or on lines of their own.

    A point may be the name of one of `marks`.

    Raises: BadValue with the item that is not understood.

    >>> parse_line("0,0 / 12 ft 6, 0 / arc 12.5, 8 right 2")
    (((0.0, 0.0), (12.5, 0.0), (12.5, 8.0)), (0.0, 2.0))
    """
    items = [item.strip() for item in text.replace("\n", "/").split("/ " if "/ " in text else "/") if item.strip(" /")]
    if not 2 <= len(items) <= MOST_POINTS:
        raise BadValue(f"A line needs 2 to {MOST_POINTS} points; {len(items)} were typed. Write 0,0 / 12,0 / 12,8.")
    points: list[Point] = []
    rises: list[float] = []
    for item in items:
        point, rise = _item(item.strip(" /"), points, system, marks)
        points.append(point)
        rises.append(rise)
    bent = tuple(rises[1:]) if any(rises) else ()
    walk_of_line(points, bent)  # refuses a point that is there twice in a row
    return tuple(points), bent


def _item(item: str, before: Sequence[Point], system: System, marks: Marks) -> tuple[Point, float]:
    if _ARC_BEGINS.match(item) is None or is_mark(item, marks):
        return _point(item, system, marks), 0.0
    if not before:
        raise BadValue("The first item is where the line starts. Begin with a point, such as 0,0.")
    named = _ARC_BY_NAME.fullmatch(item)
    found = named if named and is_mark(named["end"], marks) else _ARC.fullmatch(item)
    if found is None:
        raise BadValue(f"“{item[:40]}” is not understood. Write arc 12, 8 right 2 or arc 12, 8 through 14, 4.")
    end = _point(found["end"], system, marks)
    if found["through"]:
        through = _point(found["through"], system, marks)
        arc = arc_through(before[-1], through, end)
        if arc is None:
            raise BadValue("The three points of the arc lie on a line. Give one off it, or leave the arc out.")
        return end, rise_of(arc)
    rise = parse_length(found["rise"], system=system).feet
    return end, rise if found["way"].lower() == "right" else -rise


def _point(item: str, system: System, marks: Marks) -> Point:
    if is_mark(item, marks):
        return parse_place(item, system=system, marks=marks)
    parts = [part for part in item.strip(" /").split(",") if part.strip()]
    if len(parts) != 2:
        named = ", or the name of a mark" if marks else ""
        raise BadValue(
            f"“{item[:40]}” is not a point. Write two lengths with a comma between them, such as 12' 6\", 8{named}."
        )
    across, front = (parse_length(part, system=system, signed=True).feet for part in parts)
    return across, front


def typed_line(points: Points, rises: Rises = (), *, system: System = "feet", marks: Marks = NO_MARKS) -> str:
    """A line as it could be typed; an arc by its rise, a point that lies on a mark by its name.

    >>> print(typed_line(((0, 0), (12.5, 0), (12.5, 8)), (0, -2)))
    0", 0" / 12'-6", 0" / arc 12'-6", 8'-0" left 2'-0"
    """
    told = [_pair(points[0], system, marks)] if points else []
    for (_, end), rise in zip(pairwise(points), [*rises, *[0.0] * len(points)], strict=False):
        way = "right" if rise > 0 else "left"
        told.append(
            f"arc {_pair(end, system, marks)} {way} {_shown(abs(rise), system)}" if rise else _pair(end, system, marks)
        )
    return " / ".join(told)


def _pair(point: Point, system: System, marks: Marks) -> str:
    named = mark_on(point, marks)
    if named and not re.search(r"[/,\n]|^arc\b", named, re.IGNORECASE):
        return named
    return f"{_shown(point[0], system)}, {_shown(point[1], system)}"


def _shown(value: float, system: System) -> str:
    """A length as it is typed: in the usual form where that is exact, so that typing it again moves nothing."""
    usual = format_length(value, system)
    if abs(parse_length(usual, system=system, signed=True).feet - value) < _EXACT:
        return usual
    size, unit = (1.0, "ft") if system == "feet" else (FOOT_IN_METERS, "m")
    return f"{value * size:.9f}".rstrip("0").rstrip(".") + f" {unit}"
