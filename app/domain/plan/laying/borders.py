"""Border courses: units set along the outline first, mitered or butted at corners, fanned on arcs."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, floor, pi, sin, tan

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc
from app.domain.plan.laying.chains import Chain, End, chains_of, frame_at, inset, narrow_length
from app.domain.plan.laying.cutting import Geometries, Pieces, Units, joined, measured
from app.domain.plan.laying.modules import Floats
from app.domain.plan.laying.pattern import Unit
from app.domain.plan.laying.sides import FINE, through
from app.domain.plan.outline import Outline, chords

WIDEST_OPEN = 1 / 4 / 12  # ft: no joint wider (Unified Facilities Guide Specification 02780: gaps over 1/4 in rejected)
SPREAD = 1 / 16 / 12  # ft: what a joint may be opened by so that the last unit comes out whole
_ENOUGH = 1e-9


class BorderDoesNotFit(BadValue):
    """The outline is too narrow, or an arc too tight, for the border courses."""


@dataclass(frozen=True, slots=True)
class Course:
    """One border course: its unit, whether units lie across (`soldier`), and its depths inside the outline [ft]."""

    unit: Unit
    soldier: bool
    outer: float

    @property
    def along(self) -> float:
        """What one unit takes of the edge [ft]."""
        return self.unit.width if self.soldier else self.unit.length

    @property
    def across(self) -> float:
        """How wide the course is [ft]."""
        return self.unit.length if self.soldier else self.unit.width

    @property
    def inner(self) -> float:
        """Depth of its inner edge [ft]."""
        return self.outer + self.across


@dataclass(frozen=True, slots=True)
class LaidCourse:
    """A border course laid: corners of all whole units on the plan, the cut pieces, and the widest joint on an arc.

    `outlines` are the cut pieces on the plan. `widest` [ft] is 0 without arcs; over 1/4 in the inside joints would
    have to close, or the units be tapered.
    """

    whole: Floats
    pieces: Pieces
    outlines: Geometries
    widest: float


def lay_course(
    outline: Outline, course: Course, *, butted: bool = False, ring: int = 0, chains: Sequence[Chain] = ()
) -> LaidCourse:
    """Set one course along the outer edge, along some of its sides, or around an opening by its number from 1.

    Raises: BorderDoesNotFit where an arc is too tight for it.
    """
    whole, cut_units, cut_parts, widest = [], [], [], 0.0
    solid = Polygon(chords(outline, FINE).polygon.exterior)
    for chain in chains or chains_of(outline, ring):
        frames, gap = _frames(chain, course, butted=butted)
        widest = max(widest, gap)
        corners = _rectangles(frames, course)
        if chain.closed:
            whole.append(corners)
            continue
        kept, units, parts = _trimmed(chain, course, corners, solid, butted=butted)
        whole.append(kept)
        cut_units.append(units)
        cut_parts.append(parts)
    units = np.concatenate(cut_units) if cut_units else np.empty((0, 4, 2))
    parts = np.concatenate(cut_parts) if cut_parts else np.empty(0, dtype=object)
    return _result(np.concatenate(whole), units, parts, course, widest)


def together(one: LaidCourse, other: LaidCourse) -> LaidCourse:
    """A course that goes along several edges."""
    return LaidCourse(
        np.concatenate([one.whole, other.whole]),
        joined([one.pieces, other.pieces]),
        np.concatenate([one.outlines, other.outlines]),
        max(one.widest, other.widest),
    )


def without(laid: LaidCourse, taken: BaseGeometry, course: Course) -> LaidCourse:
    """The course with what a hole takes of it away."""
    polygons = shapely.polygons(laid.whole) if len(laid.whole) else np.empty(0, dtype=object)
    shapely.prepare(taken)
    hit = shapely.intersects(taken, polygons)
    parts = shapely.difference(polygons[hit], taken)
    return _result(laid.whole[~hit], laid.whole[hit], parts, course, laid.widest, before=laid)


def _frames(chain: Chain, course: Course, *, butted: bool) -> tuple[Floats, float]:
    """Where units stand: rows of x, y, heading, radius; and the widest joint on an arc."""
    inner, outer, joint = course.inner, course.outer, course.unit.joint
    lengths = [narrow_length(piece, inner, outer) for piece in chain.pieces]
    for piece in chain.pieces:
        if isinstance(piece, Arc) and piece.sweep > 0 and piece.radius - inner < course.along / 2:
            raise BorderDoesNotFit(
                f"A border {course.inner * 12:.0f} in wide does not fit around an arc of {piece.radius:.1f} ft radius. "
                "Take one course less, a smaller unit, or a wider arc."
            )
    total, pitch = sum(lengths), course.along + joint
    if chain.closed:
        count = max(1, floor(total / pitch + _ENOUGH))
        pitch = total / count
        places = (np.arange(count) + 0.5) * pitch
    else:
        places = _places(_span(chain, course, total, butted=butted), pitch)
    frames = [frame_at(chain, place, inner, outer) for place in places.tolist()]
    gap = max((_opened(piece, pitch, course) for piece in chain.pieces if isinstance(piece, Arc)), default=0.0)
    return np.array([(*one.point, one.heading, one.radius) for one in frames]).reshape(-1, 4), gap


def _opened(piece: Arc, pitch: float, course: Course) -> float:
    """The joint [ft] at the wide side of a fanned course."""
    if piece.sweep > 0:
        narrow, wide = piece.radius - course.inner, piece.radius - course.outer
    else:
        narrow, wide = piece.radius + course.outer, piece.radius + course.inner
    return pitch * wide / narrow - course.along


def _span(chain: Chain, course: Course, total: float, *, butted: bool) -> tuple[float, float, bool]:
    """From where to where units must reach along the chain, and whether both ends are square."""
    reach = []
    for place, (turn, end) in enumerate(zip(chain.turns, chain.ends, strict=True)):
        if end == "square":
            reach.append(0.0)
        elif end == "through":
            reach.append(through(turn, (course.outer, course.inner)))
        elif _butts(turn, end, butted=butted):
            reach.append(_behind(course, turn) if not place else _run_through(course, turn))
        else:
            slope = tan(min(abs(turn), 0.95 * pi) / 2)
            reach.append(-course.outer * slope if turn > 0 else course.inner * slope)
    square = all(
        end == "square" or ((end == "through" or _butts(turn, end, butted=butted)) and abs(turn - pi / 2) < 1e-3)
        for turn, end in zip(chain.turns, chain.ends, strict=True)
    )
    return -reach[0], total + reach[1], square


def _run_through(course: Course, turn: float) -> float:
    """How far past a corner the course reaches that runs through to the outer line of the one behind it [ft]."""
    return max(depth / tan(turn) for depth in (course.outer, course.inner)) - course.outer / sin(turn)


def _behind(course: Course, turn: float) -> float:
    """How far past a corner (backward) the course reaches that stands behind the inner line of the one before [ft]."""
    line = course.inner + course.unit.joint
    return -min((line - depth * cos(turn)) / sin(turn) for depth in (course.outer, course.inner))


def _butts(turn: float, end: End, *, butted: bool) -> bool:
    """Whether courses butt at a corner: outer corners that are not too flat or too sharp, else they are mitered."""
    return butted and end == "on" and pi / 4 < turn < 3 * pi / 4


def _places(span: tuple[float, float, bool], pitch: float) -> Floats:
    """Middles of the units between two ends: equal at both, the end pieces as large as can be."""
    first, last, square = span
    length = last - first
    if length <= 0:
        return np.empty(0)
    count = floor(length / pitch + _ENOUGH)
    if square and count and length - count * pitch < count * SPREAD:
        pitch = length / count
        spread: Floats = np.linspace(first + pitch / 2, last - pitch / 2, count)
        return spread
    middle, rest = (first + last) / 2, length / pitch - count
    # with an even number of whole units a joint lies in the middle; choose the layout with the larger end piece
    ends = (rest / 2 if rest > _ENOUGH else 1.0), (1 + rest) / 2
    by_joint, by_unit = ends if count % 2 == 0 else ends[::-1]
    half = count // 2 + 2
    numbers = np.arange(-half, half + 1)
    places = np.asarray(middle + (numbers + (0.5 if by_joint >= by_unit else 0.0)) * pitch, dtype=np.float64)
    return places[(places + pitch / 2 > first + _ENOUGH) & (places - pitch / 2 < last - _ENOUGH)]


def _rectangles(frames: Floats, course: Course) -> Floats:
    """Corners of units on the plan: outer left, outer right, inner right, inner left, seen from outside."""
    radius = frames[:, 3] - course.outer
    bulging = frames[:, 3] > 0
    deeper = np.array([inset(one, course.along) if out else 0.0 for one, out in zip(radius, bulging, strict=True)])
    ways = np.column_stack([np.cos(frames[:, 2]), np.sin(frames[:, 2])])
    inward = np.column_stack([-ways[:, 1], ways[:, 0]])
    half = ways * course.along / 2
    near = frames[:, :2] + inward * (course.outer + deeper)[:, None]
    far = near + inward * course.across
    return np.stack([near - half, near + half, far + half, far - half], axis=1)


def _trimmed(
    chain: Chain, course: Course, corners: Floats, solid: Polygon, *, butted: bool
) -> tuple[Floats, Floats, Geometries]:
    """Whole units, and the units that the corner lines cut with what is left of them."""
    polygons = shapely.polygons(corners) if len(corners) else np.empty(0, dtype=object)
    cut = np.zeros(len(corners), dtype=bool)
    for place in (0, 1):
        sharp = tan(max((pi - abs(chain.turns[place])) / 2, 0.02))
        reach = course.inner / min(sharp, 1.0) + course.inner + 2 * course.along
        near = np.hypot(*(corners.mean(axis=1) - (chain.end if place else chain.begin)).T) < reach
        if chain.ends[place] == "through":
            inside = shapely.intersection(polygons, solid)
            beyond = near & (shapely.area(polygons) - shapely.area(inside) > 1e-6)
            cut |= beyond
            polygons[beyond] = inside[beyond]
            continue
        point, way = _corner_line(chain, course, place, butted=butted)
        normal = np.array([-way[1], way[0]]) if place else np.array([way[1], -way[0]])
        beyond = ((corners - point) @ normal < -_ENOUGH).any(axis=1) & near
        cut |= beyond
        polygons[beyond] = shapely.intersection(polygons[beyond], _half_plane(point, way, normal, reach))
    return corners[~cut], corners[cut], polygons[cut]


def _corner_line(chain: Chain, course: Course, place: int, *, butted: bool) -> tuple[Floats, Floats]:
    """The line at which the course ends: a point on it and its direction, toward the inside of the outline."""
    corner = np.array(chain.end if place else chain.begin)
    turn = chain.turns[place]
    own = chain.headings[place]
    arriving, leaving = (own, chain.after) if place else (chain.before, own)
    if chain.ends[place] == "square":
        return corner, np.array([-sin(own), cos(own)])
    if _butts(turn, chain.ends[place], butted=butted):
        other = leaving if place else arriving
        depth = course.outer if place else course.inner + course.unit.joint
        inward = np.array([-sin(other), cos(other)])
        way = np.array([cos(other), sin(other)]) * (1 if place else -1)
        return corner + inward * depth, way
    half = arriving + turn / 2 + pi / 2
    return corner, np.array([cos(half), sin(half)])


def _half_plane(point: Floats, way: Floats, normal: Floats, reach: float) -> BaseGeometry:
    far = 4 * reach
    plane: BaseGeometry = shapely.polygons(
        [point - way * far, point + way * far, point + way * far + normal * far, point - way * far + normal * far]
    )
    return plane


def _result(
    whole: Floats, units: Floats, parts: Geometries, course: Course, widest: float, before: LaidCourse | None = None
) -> LaidCourse:
    """Measure the cut pieces, each in the frame of its own unit: along its length, from its outer left corner."""
    kept = ~shapely.is_empty(parts)
    units, parts = units[kept], parts[kept]
    framed = _framed(parts, units)
    count = len(units)
    bodies = np.tile([course.along, course.across], (count, 1))
    frame = Units(np.zeros((count, 2)), bodies, np.zeros(count, dtype=np.int64))
    pieces, full = measured(framed, frame)
    whole = np.concatenate([whole, units[full]])
    ragged = np.setdiff1d(np.arange(count), full)
    outlines = parts[ragged]
    if before is not None:
        pieces, outlines = joined([before.pieces, pieces]), np.concatenate([before.outlines, outlines])
    return LaidCourse(whole, pieces, outlines, widest)


def _framed(parts: Geometries, units: Floats) -> Geometries:
    """Pieces turned and moved so that their unit's outer left corner is the origin and it lies along x."""
    found = parts.copy()
    for place, (part, unit) in enumerate(zip(parts, units, strict=True)):
        way = unit[1] - unit[0]
        way = way / np.hypot(*way)
        turn = np.column_stack([way, [-way[1], way[0]]])
        origin = unit[0]
        found[place] = shapely.transform(part, lambda points, origin=origin, turn=turn: (points - origin) @ turn)
    return found
