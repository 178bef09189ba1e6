"""Whatever the outline: nothing overlaps, nothing is left open, and moving or turning the whole changes nothing."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.plan import circle, l_shape, moved, rectangle, turned
from app.domain.plan.laying import PATTERNS, BorderCourse, Laid, Laying, Part, Unit, lay
from app.domain.plan.laying.modules import MODULES, lattice
from app.domain.plan.outline import Outline, chords

BRICK = Unit(length=8 / 12, width=4 / 12)
COBBLE = Unit(length=9 / 12, width=4.5 / 12)
SQUARE = Unit(length=9 / 12, width=9 / 12)
ROOM = Outline(
    "CURVEPOLYGON (COMPOUNDCURVE ((0 0, 24 0, 24 14), CIRCULARSTRING (24 14, 12 20, 0 14), (0 14, 0 0)), "
    "CIRCULARSTRING (7 8, 9 10, 11 8, 9 6, 7 8))"
)
BAY = Outline(
    "CURVEPOLYGON (COMPOUNDCURVE ((0 0, 24 0, 24 16, 17 16), CIRCULARSTRING (17 16, 12 11, 7 16), (7 16, 0 16, 0 0)))"
)
SHAPES = {"rectangle": rectangle(13.1, 9.3), "L": l_shape(15, 12, 6, 5), "circle": circle(7), "room": ROOM, "bay": BAY}

STADIUM = Outline(
    "CURVEPOLYGON (COMPOUNDCURVE ((0 0, 20 0), CIRCULARSTRING (20 0, 25 5, 20 10), (20 10, 0 10), "
    "CIRCULARSTRING (0 10, -5 5, 0 0)))"
)
WAVE = Outline(
    "CURVEPOLYGON (COMPOUNDCURVE (CIRCULARSTRING (0 0, 6 -6, 12 0), CIRCULARSTRING (12 0, 18 6, 24 0), "
    "CIRCULARSTRING (24 0, 30 -6, 36 0), CIRCULARSTRING (36 0, 18 18, 0 0)))"
)
ANGLED = {
    "triangle": Outline("POLYGON ((0 0, 30 0, 4 14, 0 0))"),
    "splinter": Outline("POLYGON ((0 0, 40 0, 0 8, 0 0))"),
    "stairs": Outline("POLYGON ((0 0, 20 0, 20 6, 14 6, 14 12, 8 12, 8 18, 0 18, 0 0))"),
    "notch": Outline("POLYGON ((0 0, 20 0, 20 10, 10.5 10, 10.5 9, 10 9, 10 10, 0 10, 0 0))"),
    "hexagon": Outline("POLYGON ((10 0, 20 6, 20 16, 10 22, 0 16, 0 6, 10 0))"),
    "hole at the edge": Outline("POLYGON ((0 0, 20 0, 20 10, 0 10, 0 0), (2 0.5, 2 3, 4 3, 4 0.5, 2 0.5))"),
}
ROUND = {"stadium": STADIUM, "wave": WAVE}

one_of_the_patterns = st.sampled_from(sorted(PATTERNS))
shapes = st.sampled_from(sorted(SHAPES))
borders = st.sampled_from(
    [(), (BorderCourse(),), (BorderCourse(pattern="sailor"),), (BorderCourse(), BorderCourse(pattern="sailor"))]
)


def unit_for(pattern: str) -> Unit:
    return SQUARE if pattern == "pinwheel" else COBBLE


def drawn(part: Part, laid: Laid, turn: float) -> list[shapely.Geometry]:
    """All pieces of the field in its own frame, whole units and cut ones."""
    del laid
    angle = np.radians(-turn)
    spin = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return [*shapely.polygons(part.corners @ spin), *part.pieces.outlines]


@pytest.mark.parametrize("pattern", sorted(MODULES))
@pytest.mark.parametrize("joint", [0.0, 0.02])
def test_a_module_fills_the_plane(pattern: str, joint: float) -> None:
    unit = Unit(length=0.75, width=0.5, joint=joint)
    found = lattice(MODULES[pattern], unit)
    assert (found.bodies + joint).prod(axis=1).sum() == pytest.approx(found.area)


@pytest.mark.parametrize("pattern", sorted(PATTERNS))
@pytest.mark.parametrize("shape", sorted(SHAPES))
@pytest.mark.parametrize("joint", [0.0, 1 / 8 / 12])
def test_pieces_and_joints_cover_the_field_and_never_overlap(pattern: str, shape: str, joint: float) -> None:
    width = 8 if pattern == "pinwheel" else 4
    unit = Unit(length=8 / 12, width=width / 12, joint=joint)
    laid = lay(SHAPES[shape], Laying(pattern=pattern), unit)
    field = laid.field
    turn = laid.start.angle + (45 if pattern == "herringbone-45" else 0)
    pieces = drawn(field, laid, turn)
    united = shapely.union_all(pieces)
    assert united.area == pytest.approx(sum(piece.area for piece in pieces), rel=1e-6)
    assert field.covered == pytest.approx(united.area, rel=1e-3)
    # joints belong to the ground too: each piece grown by half a joint (in a basket weave the square leaves more)
    wide = 0.0625 / 12 + (lattice_slack(pattern, unit) if joint else 0.0)
    with np.errstate(all="ignore"):
        grown = united.buffer(joint / 2 + wide, join_style="mitre")
    angle = np.radians(-turn)
    spin = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    ground = shapely.transform(chords(SHAPES[shape]).polygon, lambda points: points @ spin)
    assert ground.difference(shapely.make_valid(grown).buffer(1e-7)).area < ground.area * 1e-3
    assert united.difference(ground).area < ground.area * 1e-3


def lattice_slack(pattern: str, unit: Unit) -> float:
    count = round(unit.length / unit.width)
    return unit.joint * (count - 1) / 2 if pattern == "basket" else 0.0


@pytest.mark.parametrize("shape", sorted(SHAPES))
@pytest.mark.parametrize("corners", ["miter", "butt"])
@pytest.mark.parametrize("pattern", ["soldier", "sailor"])
def test_border_and_field_cover_the_outline(shape: str, corners: str, pattern: str) -> None:
    laid = lay(SHAPES[shape], Laying(borders=(BorderCourse(pattern=pattern),), corners=corners), BRICK)
    (border,) = laid.borders
    whole = chords(SHAPES[shape]).polygon
    assert border.ground + laid.field.ground == pytest.approx(whole.area, rel=1e-3)
    united = shapely.union_all(shapely.polygons(border.corners))
    assert united.area == pytest.approx(border.whole[0] * 8 * 4 / 144, rel=1e-3)
    assert united.difference(whole).area < whole.area * 1e-3
    # what is open is the fan's wedge on arcs; straight edges are closed
    straight = shape in {"rectangle", "L"}
    assert border.covered == pytest.approx(border.ground, rel=0.01 if straight else 0.08)
    assert border.covered <= border.ground * 1.001


@pytest.mark.parametrize("shape", sorted({**ANGLED, **ROUND}))
@pytest.mark.parametrize("corners", ["miter", "butt"])
@pytest.mark.parametrize("patterns", [("soldier",), ("sailor",), ("soldier", "sailor")])
def test_border_units_never_overlap_and_stay_within(shape: str, corners: str, patterns: tuple[str, ...]) -> None:
    outline = {**ANGLED, **ROUND}[shape]
    courses = tuple(BorderCourse(pattern=one) for one in patterns)
    laid = lay(outline, Laying(borders=courses, corners=corners), BRICK)
    pieces = [piece for part in laid.borders for piece in (*shapely.polygons(part.corners), *part.outlines)]
    united = shapely.union_all(pieces)
    whole = chords(outline).polygon
    assert sum(piece.area for piece in pieces) - united.area < 1e-3 * united.area
    assert united.difference(whole).area < 1e-3 * united.area
    for part in laid.borders:
        # straight courses are closed to the cuts' crumbs; on arcs the fan stays open
        assert part.covered == pytest.approx(part.ground, rel=0.003 if shape in ANGLED else 0.05)


@given(shape=shapes, pattern=one_of_the_patterns, courses=borders, turn=st.floats(-180, 180), east=st.floats(-500, 500))
@settings(max_examples=60, deadline=None)
def test_moving_and_turning_the_whole_changes_nothing(
    shape: str, pattern: str, courses: tuple[BorderCourse, ...], turn: float, east: float
) -> None:
    laying = Laying(pattern=pattern, borders=courses)
    here = lay(SHAPES[shape], laying, unit_for(pattern))
    there = lay(moved(turned(SHAPES[shape], turn, (3, 4)), east, 20), laying, unit_for(pattern))
    for one, other in zip(here.parts, there.parts, strict=True):
        assert one.opened == other.opened
        assert one.whole == other.whole
        assert one.cut_length == pytest.approx(other.cut_length, abs=0.05)


@given(width=st.floats(5, 25), depth=st.floats(5, 25), more=st.floats(0.7, 4), pattern=one_of_the_patterns)
@settings(max_examples=60, deadline=None)
def test_a_larger_area_from_the_same_start_never_takes_fewer_units(
    width: float, depth: float, more: float, pattern: str
) -> None:
    laying = Laying(pattern=pattern, start=(0, 0), angle=0)
    small, large = (lay(rectangle(size, depth), laying, unit_for(pattern)).field for size in (width, width + more))
    assert small.units(small.opened) <= large.units(large.opened)
    assert small.units(small.whole) <= large.units(large.whole)


@given(shape=shapes, pattern=one_of_the_patterns)
@settings(max_examples=30, deadline=None)
def test_counts_lie_between_the_area_and_the_area_with_its_edge(shape: str, pattern: str) -> None:
    unit = unit_for(pattern)
    field = lay(SHAPES[shape], Laying(pattern=pattern), unit).field
    by_area = field.ground / (unit.length * unit.width)
    assert field.units(field.whole) <= by_area * 1.001
    assert field.units(field.opened) >= by_area * 0.999
