"""A zone laid: whole units, cut pieces, units to open with and without using off-cuts again, what the saw does."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from app.domain.plan.arcs import Point
from app.domain.plan.laying.borders import (
    WIDEST_OPEN,
    BorderDoesNotFit,
    Course,
    LaidCourse,
    lay_course,
    together,
    without,
)
from app.domain.plan.laying.cutting import Geometries, Pieces, Units, cut, placed
from app.domain.plan.laying.modules import Floats, lattice, module_of, sizes_of
from app.domain.plan.laying.pattern import SMALLEST_SHARE, Laying, Unit, checked_laying, checked_unit
from app.domain.plan.laying.reuse import units_reusing
from app.domain.plan.laying.sides import bordered, ground_of_border
from app.domain.plan.laying.starting import Start, choose_start, sight_of, to_frame
from app.domain.plan.outline import Outline, chords

MOST_UNITS = 60_000
Size = tuple[float, float]


class TooManyUnits(BorderDoesNotFit):
    """The units are too small for the outline to be laid one by one."""


@dataclass(frozen=True, slots=True)
class Part:
    """The field or one border course, laid.

    `sizes` are its unit sizes [ft, longer side first]; `whole`, `opened` (whole and cut, no off-cut used again) and
    `reusing` (off-cuts used again) count units by size. `corners` are those of whole units on the plan, `pieces` the
    cut ones, `slivers` those below the smallest share. `ground` is what the part covers, joints included [sq ft].
    """

    name: str
    material: str
    sizes: tuple[Size, ...]
    whole: tuple[int, ...]
    opened: tuple[int, ...]
    reusing: tuple[int, ...]
    pieces: Pieces
    corners: Floats
    slivers: int
    ground: float
    widest: float = 0.0
    outlines: Geometries | None = None  # of cut pieces on the plan, where they are of a border

    @property
    def by_size(self) -> tuple[tuple[Size, int], ...]:
        """Units opened of each size; sizes that are the same count together."""
        counts: dict[Size, int] = {}
        for size, count in zip(self.sizes, self.opened, strict=True):
            known = next((one for one in counts if max(abs(one[0] - size[0]), abs(one[1] - size[1])) < 1e-6), size)
            counts[known] = counts.get(known, 0) + count
        return tuple(counts.items())

    @property
    def cuts(self) -> int:
        """Saw cuts."""
        return int(self.pieces.cuts.sum())

    @property
    def cut_length(self) -> float:
        """Length of all saw cuts [ft]."""
        return float(self.pieces.cut_lengths.sum())

    @property
    def covered(self) -> float:
        """Area of all pieces, joints not included [sq ft]."""
        faces = np.array([long * short for long, short in self.sizes])
        return float(faces @ np.array(self.whole) + (self.pieces.shares * faces[self.pieces.sizes]).sum())

    def units(self, counts: tuple[int, ...]) -> float:
        """Counts by size as units of the first size, by area: what a mix bought by its average coverage comes to."""
        faces = [long * short for long, short in self.sizes]
        return round(sum(count * face for count, face in zip(counts, faces, strict=True)) / faces[0], 9)


@dataclass(frozen=True, slots=True)
class Laid:
    """A zone laid: its field, its border courses from the outline inward, and where laying starts."""

    field: Part
    borders: tuple[Part, ...]
    start: Start
    laying: Laying
    unit: Unit

    @property
    def parts(self) -> tuple[Part, ...]:
        """The field and the borders."""
        return (self.field, *self.borders)


def lay(
    outline: Outline,
    laying: Laying,
    unit: Unit,
    border_units: tuple[Unit, ...] = (),
    doors: tuple[Point, ...] = (),
) -> Laid:
    """Lay a pattern in an outline with holes and arcs: borders first, then the field within them.

    `border_units` are the units of the border courses, from the outline inward (missing ones are the field's). The
    result is kept by what it rests on. Borders go along the outer edge, and around holes where the laying says so; else
    holes are cut around.
    Raises: BadValue for what cannot be laid (BorderDoesNotFit, TooManyUnits).

    >>> laid = lay(Outline("POLYGON ((0 0, 4 0, 4 3, 0 3, 0 0))"), Laying(pattern="stack"), Unit(length=1, width=0.5))
    >>> laid.field.opened, laid.field.cuts
    ((24,), 0)
    """
    with np.errstate(all="ignore"):  # the geometry library may divide by zero on its way to a right answer
        return _lay(outline.wkt, laying, unit, border_units, doors)


def layings_made() -> int:
    """How many zones were laid since the start, and not found kept."""
    return _lay.cache_info().misses


def laying_anew() -> None:
    """Forget what is kept; only speed changes."""
    _lay.cache_clear()


@lru_cache(maxsize=128)
def _lay(wkt: str, laying: Laying, unit: Unit, border_units: tuple[Unit, ...], doors: tuple[Point, ...]) -> Laid:
    outline = Outline(wkt)
    unit = checked_unit(unit)
    courses = courses_of(checked_laying(laying), unit, border_units)
    polygon = chords(outline).polygon
    field = field_of(outline, courses, laying)
    _not_too_many(polygon.area, unit)
    smallest = SMALLEST_SHARE if laying.smallest is None else laying.smallest
    borders = _borders(outline, polygon, courses, laying, smallest)
    laid_field, start = _field(outline, field, laying, unit, doors, smallest)
    return Laid(laid_field, borders, start, laying, unit)


def courses_of(laying: Laying, unit: Unit, border_units: tuple[Unit, ...]) -> tuple[Course, ...]:
    """The border courses with their depths, from the outline inward."""
    courses: list[Course] = []
    depth = 0.0
    for place, course in enumerate(laying.borders):
        own = checked_unit(border_units[place]) if place < len(border_units) else unit
        courses.append(Course(own, course.pattern == "soldier", depth))
        depth = courses[-1].inner + own.joint
    return tuple(courses)


def field_of(outline: Outline, courses: tuple[Course, ...], laying: Laying) -> BaseGeometry:
    """What is left for the field within the borders. Raises: BorderDoesNotFit; BadValue for sides that are gone."""
    polygon = chords(outline).polygon
    if not courses:
        return polygon
    depth = courses[-1].inner + courses[-1].unit.joint
    solid = Polygon(polygon.exterior)
    within = _within(outline, solid, depth, laying)
    if within.is_empty:
        raise BorderDoesNotFit(
            f"Border courses {depth * 12:.0f} in wide leave no field here. Take one course, or a smaller unit."
        )
    if not polygon.interiors:
        return within
    holes = solid.difference(polygon)
    if laying.inner:
        holes = holes.buffer(depth, join_style="mitre", mitre_limit=10.0)
        if not within.contains(holes) or _run_together(polygon, depth):
            raise BorderDoesNotFit(
                f"Border courses {depth * 12:.0f} in wide around the openings would run into one another or into those "
                "along the outer edge. Take one course, a smaller unit, or leave the openings without."
            )
    left: BaseGeometry = within.difference(holes)
    return left


def _within(outline: Outline, solid: Polygon, depth: float, laying: Laying) -> BaseGeometry:
    """What lies within courses as deep as that [ft], openings not asked."""
    if laying.along:
        taken = ground_of_border(outline, laying.along, depth, mitered=laying.ends == "miter")
        left: BaseGeometry = solid.difference(taken)
        return left
    inset: BaseGeometry = solid.buffer(-depth, join_style="mitre", mitre_limit=10.0)
    return inset


def _run_together(polygon: Polygon, depth: float) -> bool:
    """Whether two openings lie so near each other that the courses around them would meet."""
    rings = [Polygon(ring) for ring in polygon.interiors]
    return any(one.distance(other) < 2 * depth for at, one in enumerate(rings) for other in rings[:at])


def _borders(
    outline: Outline,
    polygon: Polygon,
    courses: tuple[Course, ...],
    laying: Laying,
    smallest: float,
) -> tuple[Part, ...]:
    solid = Polygon(polygon.exterior)
    holes = solid.difference(polygon)
    parts: list[Part] = []
    outer: BaseGeometry = solid
    chains = bordered(outline, laying.along, mitered=laying.ends == "miter") if laying.along and courses else ()
    for place, course in enumerate(courses):
        depth = course.inner + course.unit.joint
        inner = _within(outline, solid, depth, laying)
        butted = laying.corners == "butt"
        laid = lay_course(outline, course, butted=butted, chains=chains)
        if not holes.is_empty and not inner.contains(holes):
            laid = without(laid, holes, course)
        ground = float(outer.difference(inner).difference(holes).area)
        for ring in range(1, len(polygon.interiors) + 1) if laying.inner else ():
            laid = together(laid, lay_course(outline, course, butted=butted, ring=ring))
        if laying.inner:
            ground += _around(holes, depth) - _around(holes, course.outer)
        part = _border_part(f"border {place + 1}", laying.borders[place].material, course, laid, smallest, ground)
        if part.covered > ground * 1.005:
            raise BorderDoesNotFit(
                "The border courses would run over each other where the outline is narrow or has short edges. "
                "Take one course, a smaller unit, or straighten the outline there."
            )
        parts.append(part)
        outer = inner
    return tuple(parts)


def _around(holes: BaseGeometry, depth: float) -> float:
    return float(holes.buffer(depth, join_style="mitre", mitre_limit=10.0).area) if depth else float(holes.area)


def _border_part(name: str, material: str, course: Course, laid: LaidCourse, smallest: float, ground: float) -> Part:
    size = (course.unit.length, course.unit.width)
    pieces = laid.pieces
    sawn = _rectangles(pieces, pieces.sizes == 0)
    return Part(
        name,
        material,
        (size,),
        (len(laid.whole),),
        (len(laid.whole) + pieces.units,),
        (len(laid.whole) + min(pieces.units, units_reusing(sawn, size)),),
        pieces,
        laid.whole,
        int((pieces.shares < smallest).sum()),
        ground,
        laid.widest,
        laid.outlines,
    )


def _rectangles(pieces: Pieces, chosen: NDArray[np.bool_]) -> list[Size]:
    """Bounding rectangles of pieces, along and across their unit."""
    return list(zip(pieces.longs[chosen].tolist(), pieces.shorts[chosen].tolist(), strict=True))


def _field(
    outline: Outline,
    field: BaseGeometry,
    laying: Laying,
    unit: Unit,
    doors: tuple[Point, ...],
    smallest: float,
) -> tuple[Part, Start]:
    module = module_of(laying.pattern, unit)
    pattern = lattice(module, unit)
    start = choose_start(sight_of(outline, doors), laying, module, pattern, field)
    whole, pieces = lay_field(field, laying.pattern, unit, start)
    sizes = sizes_of(module, unit)
    part = _field_part(sizes, whole, pieces, smallest, start.angle + module.turned, float(field.area))
    return part, start


def lay_field(field: BaseGeometry, pattern: str, unit: Unit, start: Start) -> tuple[Units, Pieces]:
    """Whole units and cut pieces of a pattern in a field, in the pattern's frame."""
    module = module_of(pattern, unit)
    turn = to_frame(start.angle + module.turned)
    framed = shapely.transform(field, turn)
    origin = turn([start.point])[0]
    units = placed(lattice(module, unit), (float(origin[0]), float(origin[1])), shapely.bounds(framed))
    return cut(units, framed)


def _field_part(
    sizes: tuple[Size, ...], whole: Units, pieces: Pieces, smallest: float, turned: float, ground: float
) -> Part:
    count = len(sizes)
    wholes = np.bincount(whole.sizes, minlength=count)
    firsts = np.unique(pieces.owners, return_index=True)[1]
    cut_units = np.bincount(pieces.sizes[firsts], minlength=count)
    reusing = [
        min(int(cut_units[size]), units_reusing(_rectangles(pieces, pieces.sizes == size), sizes[size]))
        for size in range(count)
    ]
    return Part(
        "field",
        "",
        sizes,
        tuple(wholes.tolist()),
        tuple((wholes + cut_units).tolist()),
        tuple((wholes + np.array(reusing)).tolist()),
        pieces,
        _on_plan(whole, turned),
        int((pieces.shares < smallest).sum()),
        ground,
    )


def _on_plan(units: Units, turned: float) -> Floats:
    ends = units.corners + units.bodies
    xs = np.column_stack([units.corners[:, 0], ends[:, 0], ends[:, 0], units.corners[:, 0]])
    ys = np.column_stack([units.corners[:, 1], units.corners[:, 1], ends[:, 1], ends[:, 1]])
    found: Floats = to_frame(-turned)(np.stack([xs, ys], axis=2))
    return found


def _not_too_many(ground: float, unit: Unit) -> None:
    count = ground / (unit.length * unit.width)
    if count > MOST_UNITS:
        raise TooManyUnits(
            f"About {count:,.0f} units would be laid here; up to {MOST_UNITS:,} are laid one by one. "
            "Take a larger unit, or leave the pattern out: then the area decides."
        )


__all__ = ["WIDEST_OPEN", "Laid", "Part", "lay", "layings_made"]
