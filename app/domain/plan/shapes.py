"""Outlines as people type them: rectangle, circle, L, or points in order with arcs between.

Typed points, one after another with ` / ` or a new line between, x east and y north of the datum:

    0, 0 / 20, 0 / arc 20, 12 through 23, 6 / 0, 12

An item `arc X, Y through X, Y` ends at the first point and passes through the second; `arc X, Y out 3` bulges three
feet out of the outline, `in 3` into it. An arc back to the first point closes the outline; else a straight edge does.
Each number is a length (`12' 6"`, `12.5`, `3.81 m`) and may be negative; `;` between x and y where a decimal comma is
used. The name of a mark stands for its place, alone (`P1 / P2 / arc P3 out 2`) or several in a row (`P1 P2 P3`).
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan2, degrees, hypot

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line, Point, Segment, through_of_rise
from app.domain.plan.measures import turning
from app.domain.plan.outline import LEAST_EDGE, EdgeWithoutLength, EmptyOutline, Outline, outline_of_rings
from app.domain.plan.wkt import read_rings
from app.domain.units import System, parse_length
from app.domain.units.dimension import FOOT_IN_METERS

MOST_POINTS = 500
LONGEST_ITEM = 200  # characters
Marks = Mapping[str, Point | None]  # places by name; None: a mark without a place yet
NO_MARKS: Marks = {}
_ON_MARK = 1e-6  # ft
SHAPES: Mapping[str, tuple[str, ...]] = {
    "rectangle": ("width", "depth"),
    "circle": ("radius",),
    "L": ("width", "depth", "cut width", "cut depth"),
    "points": (),
}


def rectangle(width: float, depth: float, at: Point = (0.0, 0.0), turn: float = 0.0) -> Outline:
    """A rectangle [ft] from its lower left corner, turned counterclockwise [degrees] about it.

    Raises: BadValue for sides of no length.
    """
    _positive({"width": width, "depth": depth})
    return _polygon([(0, 0), (width, 0), (width, depth), (0, depth)], at, turn, "rectangle", (width, depth))


def circle(radius: float, at: Point = (0.0, 0.0)) -> Outline:
    """A circle [ft] about a center. Raises: BadValue for a radius of no length."""
    _positive({"radius": radius})
    x, y = at
    east, north, west, south = (x + radius, y), (x, y + radius), (x - radius, y), (x, y - radius)
    ring = (_arc(east, north, west), _arc(west, south, east))
    return outline_of_rings([ring], "circle", (radius,))


def l_shape(
    width: float, depth: float, cut_width: float, cut_depth: float, *, at: Point = (0.0, 0.0), turn: float = 0.0
) -> Outline:
    """An L [ft]: a rectangle from its lower left corner with the upper right corner cut out, turned about `at`.

    Raises: BadValue when a side has no length or the cut leaves nothing.
    """
    sizes = {"width": width, "depth": depth, "cut width": cut_width, "cut depth": cut_depth}
    _positive(sizes)
    for side in ("width", "depth"):
        if sizes[f"cut {side}"] >= sizes[side]:
            raise BadValue(
                f"The cut {side} ({sizes[f'cut {side}']:g} ft) must be less than the {side} ({sizes[side]:g} ft).",
                field=f"cut {side}",
            )
    inner, upper = width - cut_width, depth - cut_depth
    points: list[Point] = [(0, 0), (width, 0), (width, upper), (inner, upper), (inner, depth), (0, depth)]
    return _polygon(points, at, turn, "L", tuple(sizes.values()))


def from_points(points: Sequence[Point], through: Mapping[int, Point] | None = None) -> Outline:
    """An outline [ft] of points in order, closed by itself; `through[i]` makes the edge that leaves point i an arc.

    Raises: EmptyOutline, OutlineCrossesItself, EdgeWithoutLength, NotAnArc.

    >>> from_points([(0, 0), (20, 0), (20, 12)]).wkt
    'POLYGON ((0 0, 20 0, 20 12, 0 0))'
    """
    arcs = through or {}
    if len(points) < (2 if arcs else 3):
        raise EmptyOutline("An outline needs at least three points, or two and an arc. Add the missing points.")
    ring: list[Segment] = []
    for place, start in enumerate(points):
        end = points[(place + 1) % len(points)]
        ring.append(_arc(start, arcs[place], end) if place in arcs else Line(start, end))
    return outline_of_rings([tuple(ring)])


def outline_of_sizes(shape: str, sizes: Sequence[float], at: Point = (0.0, 0.0), turn: float = 0.0) -> Outline:
    """The outline of a shape of `SHAPES` and its sizes [ft], placed. Raises: BadValue."""
    names = SHAPES.get(shape)
    if not names:
        raise BadValue(f"“{shape}” is not a shape typed by sizes. Choose rectangle, circle or L.", field="shape")
    if len(sizes) != len(names):
        raise BadValue(f"A {shape} needs {' and '.join(names)}: {len(names)} sizes, not {len(sizes)}.", field="sizes")
    if shape == "circle":
        return circle(sizes[0], at)
    if shape == "rectangle":
        return rectangle(sizes[0], sizes[1], at, turn)
    return l_shape(sizes[0], sizes[1], sizes[2], sizes[3], at=at, turn=turn)


def placing(outline: Outline) -> tuple[Point, float]:
    """Where an outline typed by sizes stands: its `at` [ft, ft] and its turn [degrees], found from its points."""
    first = read_rings(outline.wkt)[0][0]
    if isinstance(first, Arc):
        return first.center, 0.0
    (ax, ay), (bx, by) = first.start, first.end
    return first.start, degrees(atan2(by - ay, bx - ax)) % 360


@dataclass(frozen=True, slots=True)
class _Typed:
    """A typed point, and how the edge that leads to it curves."""

    point: Point
    through: Point | None = None
    rise: float = 0.0  # outward


_ARC = re.compile(r"arc\s+(?P<end>.+?)\s+(?:through\s+(?P<through>.+)|(?P<way>out|in)\s+(?P<rise>.+))", re.IGNORECASE)


def parse_points(text: str, *, system: System = "feet", marks: Marks = NO_MARKS) -> Outline:
    """The outline of typed points (the form is told at the head of this module); `marks` are points known by name.

    Raises: BadValue and every refusal of `from_points`, naming the item.

    >>> parse_points("0,0 / 20,0 / 20,12 / 0,12").wkt
    'POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))'
    """
    if len(text) > MOST_POINTS * LONGEST_ITEM:
        raise BadValue(f"This is too long for an outline. Write {MOST_POINTS} points at most.")
    read = _Reading(system, {_folded(name): place for name, place in marks.items()})
    typed_items = (item for line in re.split(r"\s/\s|\n", text) if (item := " ".join(line.split())))
    items = [one for item in typed_items for one in read.apart(item)]
    if len(items) > MOST_POINTS:
        raise BadValue(f"{len(items)} points are more than an outline can have ({MOST_POINTS}).")
    typed = [_item(item, number, read) for number, item in enumerate(items, 1)]
    if len(typed) < 2:
        raise EmptyOutline(
            "An outline needs at least three points, or two and an arc. Write 0,0 / 20,0 / 20,12 / 0,12."
        )
    if typed[0].through or typed[0].rise:
        raise BadValue("The first item is where the outline starts. Begin with a point, such as 0,0.")
    points = [one.point for one in typed]
    if points[-1] == points[0]:
        points.pop()
    leads = {(place - 1) % len(points): one for place, one in enumerate(typed) if one.through or one.rise}
    outward = 1 if _signed_area(points) >= 0 else -1
    if any(one.rise for one in leads.values()) and abs(_signed_area(points)) < LEAST_EDGE:
        raise BadValue("With two points only, “out” and “in” have no meaning. Write “through” and a point instead.")
    through = {place: _through(points, place, one, outward) for place, one in leads.items()}
    return from_points(points, through)


def parse_place(text: str, *, system: System = "feet", marks: Marks = NO_MARKS) -> Point:
    """One typed point [ft]: two lengths, or the name of a mark. Raises: BadValue.

    >>> parse_place("P1", marks={"P1": (3.0, 4.0)}), parse_place("12' 6, -2")
    ((3.0, 4.0), (12.5, -2.0))
    """
    return _Reading(system, {_folded(name): place for name, place in marks.items()}).point(text)


def typed_place(point: Point, *, system: System = "feet", marks: Marks = NO_MARKS) -> str:
    """A point in the form `parse_place` reads, by the name of the mark it lies on where it does."""
    return mark_on(point, marks) or _pair(point, 1.0 if system == "feet" else FOOT_IN_METERS)


def mark_on(point: Point, marks: Marks) -> str:
    """The name of the mark that a point lies on; empty where it lies on none."""
    near = (name for name, at in marks.items() if at and hypot(at[0] - point[0], at[1] - point[1]) < _ON_MARK)
    return next(near, "")


def is_mark(text: str, marks: Marks) -> bool:
    """Whether a text is the name of a mark, whatever its capitals and blanks."""
    return any(_folded(name) == _folded(text) for name in marks)


@dataclass(frozen=True, slots=True)
class _Reading:
    """How points are read: the unit of a bare number, the places of marks by name."""

    system: System
    marks: Marks

    def apart(self, item: str) -> Sequence[str]:
        """An item that is several names of marks in a row, as that many; any other as it is."""
        words = item.split()
        several = (
            len(words) > 1 and _folded(item) not in self.marks and all(_folded(word) in self.marks for word in words)
        )
        return words if several else (item,)

    def point(self, text: str) -> Point:
        """A mark by its name, or two lengths."""
        if _folded(text) in self.marks:
            place = self.marks[_folded(text)]
            if place is None:
                raise BadValue(f"{text.strip()} has no place yet. Tape it from two marks first, or type its place.")
            return place
        pair = text.split(";") if ";" in text else text.split(",")
        if len(pair) != 2:
            named = ", or the name of a mark" if self.marks else ""
            raise BadValue(
                f"“{text[:40]}” is not a point. Write east, north: 20, 12 (or 3,5; 2,1 with decimal commas){named}."
            )
        x, y = (parse_length(part, system=self.system, signed=True).feet for part in pair)
        return x, y


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()


def _item(item: str, number: int, read: _Reading) -> _Typed:
    if len(item) > LONGEST_ITEM:
        raise BadValue(f"Point {number} is too long. Write it like 20, 12 or arc 20, 12 through 23, 6.")
    try:
        return _arc_item(item, read) if item.lower().startswith("arc ") else _Typed(read.point(item))
    except BadValue as wrong:
        raise BadValue(f"Point {number}: {wrong.sentence}") from wrong


def _arc_item(item: str, read: _Reading) -> _Typed:
    found = _ARC.fullmatch(item)
    if found is None:
        raise BadValue(f"“{item[:40]}” is not understood. Write arc 20, 12 through 23, 6 or arc 20, 12 out 3.")
    end = read.point(found["end"])
    if found["through"]:
        return _Typed(end, through=read.point(found["through"]))
    rise = parse_length(found["rise"], system=read.system).feet
    return _Typed(end, rise=rise if found["way"].lower() == "out" else -rise)


def _through(points: Sequence[Point], place: int, typed: _Typed, outward: int) -> Point:
    if typed.through:
        return typed.through
    start, end = points[place], points[(place + 1) % len(points)]
    if hypot(end[0] - start[0], end[1] - start[1]) < LEAST_EDGE:
        raise EdgeWithoutLength("An arc needs two different ends. Use “through” for a whole circle's halves.")
    return through_of_rise(start, end, typed.rise * outward)


def typed_points(outline: Outline, *, system: System = "feet", marks: Marks = NO_MARKS) -> str:
    """The outer ring in the form `parse_points` reads, to be typed again; points that lie on a mark by its name.

    >>> typed_points(rectangle(20, 12))
    '0, 0 / 20, 0 / 20, 12 / 0, 12'
    """
    ring = read_rings(outline.wkt)[0]

    def told(point: Point) -> str:
        return typed_place(point, system=system, marks=marks)

    items = [told(ring[0].start)]
    for place, piece in enumerate(ring):
        if isinstance(piece, Arc):
            items.append(f"arc {told(piece.end)} through {told(piece.through)}")
        elif place < len(ring) - 1:
            items.append(told(piece.end))
    return " / ".join(items)


def _pair(point: Point, size: float) -> str:
    x, y = (f"{round(value * size, 6) + 0.0:.6f}".rstrip("0").rstrip(".") for value in point)
    return f"{x}, {y}"


def _polygon(points: list[Point], at: Point, turn: float, shape: str, sizes: tuple[float, ...]) -> Outline:
    turned = turning(turn, (0.0, 0.0))
    placed = [(at[0] + x, at[1] + y) for x, y in map(turned, points)]
    ring = tuple(Line(start, end) for start, end in zip(placed, placed[1:] + placed[:1], strict=True))
    return outline_of_rings([ring], shape, sizes)


def _arc(start: Point, through: Point, end: Point) -> Arc:
    # only the three points are written; center and angles are found when they are read
    return Arc(start, through, end, (0.0, 0.0), 0.0, 0.0, 0.0)


def _signed_area(points: Sequence[Point]) -> float:
    pairs = zip(points, [*points[1:], points[0]], strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


def _positive(sizes: Mapping[str, float]) -> None:
    for name, size in sizes.items():
        if not size > LEAST_EDGE:
            raise BadValue(f"The {name} is {size:g} ft. Give a length above zero.", field=name)
