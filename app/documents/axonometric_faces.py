"""The faces of one solid as they are seen: sides toward who looks, the top with hatch, shadow and pools of light."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

import shapely

from app.documents.hatches import HATCHES, INK, Patterns, mixed
from app.documents.sheet_view import xy
from app.domain.palette.color import is_color
from app.domain.palette.seen_in import Look, seen
from app.domain.plan.arcs import Point
from app.domain.seen.bodies import ring_around
from app.domain.seen.cast import Cast, Side
from app.domain.seen.convex import polygon_of
from app.domain.seen.solids import NEAR, Lamp, Solid

WHITE = "#ffffff"
SHADE, LIT_SIDE = 0.3, 0.1  # how much ink a side in shade, and one in light, has over its color
LIGHT = "#ffdf94"
POOL = 24  # sides of a pool of light
RINGS = ((0.55, 0.0), (1.0, 0.4), (0.9, 0.72), (0.45, 1.0))  # of a mass of leaves: share of its spread, of its height
At = Callable[[Point, float], Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class Brush:
    """How faces are drawn: where light comes from, which way is away from who looks, what lies in shadow."""

    patterns: Patterns
    lit: Point
    away: Point
    shadow: Callable[[float], Any]
    cast: Cast | None = None  # what stands in the sun
    lamps: tuple[Lamp, ...] = ()
    evening: bool = False
    ink: bool = False

    def fill(self, color: str, ink: float = 0.0) -> str:
        """The fill of a face, with so much ink over it."""
        if self.ink:
            return WHITE
        shown = color if is_color(color) else "#d9d2bf"
        shown = mixed(shown, INK, ink) if ink else shown
        return seen(shown, "", Look(dusk=True)) if self.evening else shown


def drawn_solid(one: Solid, at: At, brush: Brush) -> str:
    """All that is seen of a solid."""
    if one.line:
        (start, low), (end, high) = one.line
        return f'<path d="M{xy(at(start, low))}L{xy(at(end, high))}" stroke="{INK}" stroke-width="0.9" fill="none"/>'
    if one.round:
        return _leaves(one, at, brush)
    return "".join([*_sides(one, at, brush), *_top(one, at, brush)])


def _sides(one: Solid, at: At, brush: Brush) -> Iterator[str]:
    if one.top - one.bottom <= NEAR:
        return
    for place, start in enumerate(one.base):
        end = one.base[(place + 1) % len(one.base)]
        if one.drawn and not one.drawn[place]:
            continue
        out = (end[1] - start[1], start[0] - end[0])
        if out[0] * brush.away[0] + out[1] * brush.away[1] < -NEAR:
            yield _side(one, (start, end), out, at, brush)


def _side(one: Solid, ends: tuple[Point, Point], out: Point, at: At, brush: Brush) -> str:
    start, end = ends
    path = _closed([at(start, one.bottom), at(end, one.bottom), at(end, one.top), at(start, one.top)])
    shaded = out[0] * brush.lit[0] + out[1] * brush.lit[1] <= NEAR
    face = (
        f'<path d="{path}" fill="{brush.fill(one.color, SHADE if shaded else LIT_SIDE)}" stroke="{INK}" {_pen(one)}/>'
    )
    shade = brush.cast.on_side(Side(start, end, one.bottom, one.top)) if brush.cast and not shaded else None
    if shade is not None:
        face += "".join(_shadow(shade, _upright(start, end, at), brush))
    if one.ground or one.open:
        return face
    marks = brush.patterns.marked(f'<path d="{path}"', "wall", INK if brush.ink else one.color) if shaded else ""
    own = one.hatch if one.hatch in {"wall", "deck", "stone"} and not brush.ink else ""
    return face + (brush.patterns.marked(f'<path d="{path}"', own, one.color) if own and not shaded else "") + marks


def _upright(start: Point, end: Point, at: At) -> Callable[[Point], Point]:
    """Where a point of a side lies on the drawing, told by feet along it and its height."""
    long = hypot(end[0] - start[0], end[1] - start[1])
    x, y = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    return lambda point: at((start[0] + x * point[0], start[1] + y * point[0]), point[1])


def _shadow(shape: Any, place: Callable[[Point], Point], brush: Brush) -> Iterator[str]:
    """A shadow on a face; in ink alone by its lines."""
    for path in _paths(shape, place):
        yield f'<path d="{path}" fill="{INK}" fill-opacity=".{"06" if brush.ink else "30"}"/>'
        yield brush.patterns.marked(f'<path d="{path}"', "wall", INK) if brush.ink else ""


def _pen(one: Solid) -> str:
    return f'stroke-width="{0.8 if one.ground or one.hatch == "planting" else 1.3}"'


def _top(one: Solid, at: At, brush: Brush) -> Iterator[str]:

    def place(point: Point) -> Point:
        return at(point, one.top)

    path = _closed([place(point) for point in one.base])
    color = one.top_color or one.color
    fill = brush.fill(color)
    clear = ' fill-opacity=".55"' if one.open else ""
    yield f'<path d="{path}" fill="{fill}"{clear} stroke="{fill}" stroke-width="1.6"/>'
    if one.hatch in HATCHES and (one.ground or one.hatch in {"planting", "deck", "turf"} or not one.top_color):
        yield brush.patterns.marked(f'<path d="{path}"', one.hatch, INK if brush.ink else fill)
    if one.ground:
        yield from _on_top(one, place, brush)
    elif not one.open and brush.cast:
        shade = brush.cast.on_top(one.base, one.top)
        yield from _shadow(shade, place, brush) if shade is not None else ()
    yield _rim(one, place)


def _rim(one: Solid, place: Callable[[Point], Point]) -> str:
    """The edges of the thing itself; seams within it are none."""
    if all(one.drawn):
        return f'<path d="{_closed([place(point) for point in one.base])}" fill="none" stroke="{INK}" {_pen(one)}/>'
    edges = "".join(
        f"M{xy(place(point))}L{xy(place(one.base[(at + 1) % len(one.base)]))}"
        for at, point in enumerate(one.base)
        if one.drawn[at]
    )
    return f'<path d="{edges}" fill="none" stroke="{INK}" {_pen(one)}/>' if edges else ""


def _on_top(one: Solid, place: Callable[[Point], Point], brush: Brush) -> Iterator[str]:
    """Shadow and pools of light on a surface."""
    shadow = brush.shadow(one.top)
    if shadow is not None and not shadow.is_empty:
        yield from _shadow(shapely.intersection(polygon_of(one.base), shadow), place, brush)
    for lamp in brush.lamps:
        for share, clear in ((1.0, 0.28), (0.5, 0.45)):
            pool = polygon_of(ring_around(lamp.at, lamp.reach * share, POOL))
            for path in _paths(shapely.intersection(polygon_of(one.base), pool), place):
                light = f'fill="{LIGHT}" fill-opacity="{clear}"' if not brush.ink else 'fill="none"'
                rim = f'stroke="{INK}" stroke-width=".7" stroke-dasharray="3 3"' if share == 1.0 else ""
                yield f'<path d="{path}" {light} {rim if brush.ink else ""}/>'


def _paths(shape: Any, place: Callable[[Point], Point]) -> Iterator[str]:
    for piece in getattr(shape, "geoms", [shape]):
        if piece.geom_type == "Polygon" and piece.area > 1e-4:
            rings = (piece.exterior, *piece.interiors)
            yield "".join(_closed([place((x, y)) for x, y in ring.coords[:-1]]) for ring in rings)


def _leaves(one: Solid, at: At, brush: Brush) -> str:
    """A mass of leaves: the outline of its rings, lighter toward the light."""
    x, y = (sum(point[axis] for point in one.base) / len(one.base) for axis in (0, 1))
    high = one.top - one.bottom
    hull = _hull(
        [at(_toward(point, (x, y), share), one.bottom + high * rise) for share, rise in RINGS for point in one.base]
    )
    shown = RINGS[-2:] if one.top_color else RINGS[-1:]  # a bloom shows further down than light does
    crown = [at(_toward(point, (x, y), share), one.bottom + high * rise) for share, rise in shown for point in one.base]
    path, fill = _closed(hull), brush.fill(one.color, 0.12)
    marks = brush.patterns.marked(f'<path d="{path}"', "planting", INK if brush.ink else one.color)
    light = f'<path d="{_closed(_hull(crown))}" fill="{brush.fill(one.top_color or one.color)}"/>'
    return f'<path d="{path}" fill="{fill}" stroke="{INK}" stroke-width="0.8"/>{light}{marks}'


def _toward(point: Point, middle: Point, share: float) -> Point:
    return middle[0] + (point[0] - middle[0]) * share, middle[1] + (point[1] - middle[1]) * share


def _hull(points: Sequence[Point]) -> list[Point]:
    """The points around all of them (Andrew's chain)."""
    found: list[Point] = []
    for row in (sorted(points), sorted(points, reverse=True)):
        side: list[Point] = []
        for point in row:
            while len(side) > 1 and _turn(side[-2], side[-1], point) <= 0:
                side.pop()
            side.append(point)
        found += side[:-1]
    return found


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _closed(points: Sequence[Point]) -> str:
    return f"M{'L'.join(xy(point) for point in points)}Z"
