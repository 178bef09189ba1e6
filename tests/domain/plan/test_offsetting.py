"""Widths set off from outlines and lines: areas by Steiner's formula and by hand, the same radii out and in again."""

from math import pi

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, arc_through
from app.domain.plan.growing import grown
from app.domain.plan.measures import area, moved, perimeter, turned
from app.domain.plan.offsetting import CORNERS, ROUND, NothingLeft, alongside, band, bed, offset, offset_parts
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline, OutlineCrossesItself, segments
from app.domain.plan.shapes import circle, parse_points, rectangle
from tests.plans.outlines import fine, outlines

SIXTY_FOURTH = 1 / 64 / 12  # ft
BOWED = parse_points("0,0 / 20,0 / arc 20,12 out 6 / 0,12")
BITTEN = parse_points("0,0 / 20,0 / arc 20,12 in 4 / 0,12")
DUMBBELL = parse_points("0,0 / 10,0 / 10,4 / 20,4 / 20,0 / 30,0 / 30,10 / 20,10 / 20,6 / 10,6 / 10,10 / 0,10")


def radii(outline: Outline) -> list[float]:
    return sorted(piece.radius for piece in segments(outline) if isinstance(piece, Arc))


def test_rectangle_and_circle_stay_what_they_were_typed_as():
    grown_one = offset(rectangle(20, 12), 1.5)
    assert (grown_one.shape, grown_one.sizes, area(grown_one)) == ("rectangle", (23, 15), 23 * 15)
    pit = offset(circle(9), -0.5)
    assert (pit.shape, pit.sizes) == ("circle", (8.5,))
    assert area(pit) == pytest.approx(pi * 8.5**2, rel=1e-12)


def test_arc_keeps_its_center():
    (arc,) = (piece for piece in segments(offset(BOWED, 3)) if isinstance(piece, Arc))
    assert arc.center == pytest.approx((20, 6), abs=1e-9)
    assert arc.radius == pytest.approx(9, abs=1e-9)


def test_rounded_corners_give_steiners_area():
    """A + P·d + π·d² of a convex outline (Steiner's formula), which `grown` has from another way."""
    for width in (0.5, 2, 7):
        assert area(offset(BOWED, width, corners=ROUND)) == pytest.approx(grown(BOWED, width), rel=1e-12)


def test_corner_too_sharp_is_cut_square():
    wedge = parse_points("0,0 / 20,0.8 / 20,-0.8")
    west = min(x for piece in segments(offset(wedge, 1)) for x, _ in [piece.start])
    assert west == pytest.approx(-1, abs=0.01)


def test_arc_and_edge_run_on_until_they_meet():
    inner = offset(BITTEN, -1)
    assert area(offset(inner, 1)) == pytest.approx(area(BITTEN), rel=1e-12)


@pytest.mark.parametrize(("width", "size"), [(1, 420), (-1, 180), (6, 1024)])
def test_opening_shrinks_as_the_outline_grows(width, size):
    ringed = Outline("POLYGON ((0 0, 20 0, 20 20, 0 20, 0 0), (5 5, 15 5, 15 15, 5 15, 5 5))")
    assert area(offset(ringed, width)) == pytest.approx(size)


@pytest.mark.parametrize("width", [-6, -20])
def test_width_that_eats_the_outline_is_refused(width):
    with pytest.raises(NothingLeft, match="Nothing is left"):
        offset(rectangle(20, 12), width)


def test_width_that_parts_the_outline_is_refused():
    assert area(offset(DUMBBELL, -0.5)) == pytest.approx(2 * 81 + 11 * 1)
    with pytest.raises(NothingLeft, match="2 parts"):
        offset(DUMBBELL, -1.5)


def test_parts_that_a_width_leaves_are_those_of_the_reference_library():
    """Shapely's buffer with mitered corners, parted in the same places: two squares of 7 ft."""
    parts = offset_parts(DUMBBELL, -1.5)
    reference = shapely.get_parts(fine(DUMBBELL).buffer(-1.5, join_style="mitre"))
    assert sorted(map(area, parts)) == pytest.approx(sorted(one.area for one in reference)) == [49, 49]
    assert [area(one) for one in offset_parts(DUMBBELL, -0.5)] == [area(offset(DUMBBELL, -0.5))]
    border = band(DUMBBELL, -1.5)
    assert area(border) == pytest.approx(area(DUMBBELL) - 98)
    with pytest.raises(NothingLeft, match="Nothing is left"):
        offset_parts(DUMBBELL, -5)


def test_border_around_arms_that_close_leaves_the_ground_between_them_out():
    """A hall 4 by 4 behind a door of 1 ft: a border of 0.6 ft closes the door and leaves 2.8 by 2.8 of the hall."""
    ring = parse_points("0,0 / 10,0 / 10,10 / 5.5,10 / 5.5,8 / 7,8 / 7,4 / 3,4 / 3,8 / 4.5,8 / 4.5,10 / 0,10")
    border = band(ring, 0.6)
    assert area(border) == pytest.approx(11.2**2 - area(ring) - 2.8**2)
    assert area(border) == pytest.approx(fine(ring).buffer(0.6, join_style="mitre").area - area(ring))


@pytest.mark.parametrize("width", [0, 0.001, 101, float("nan")])
def test_width_out_of_range_is_refused(width):
    with pytest.raises(BadValue, match="width"):
        offset(rectangle(20, 12), width)


def test_corners_of_another_kind_are_refused():
    with pytest.raises(BadValue, match="square or rounded"):
        offset(rectangle(20, 12), 1, corners="chamfer")


@settings(max_examples=40, deadline=None)
@given(outlines(), st.floats(0.1, 3), st.sampled_from(CORNERS))
def test_out_and_in_again_gives_the_same_radii(outline, width, corners):
    out = offset(outline, width, corners=corners)
    again = offset(out, -width)
    assert area(again) == pytest.approx(area(outline), rel=1e-6)
    for radius in radii(outline):
        assert min(abs(radius - one) for one in radii(again)) < SIXTY_FOURTH, radius


@settings(max_examples=25, deadline=None)
@given(outlines(10), st.floats(0.1, 3))
def test_every_point_of_the_set_off_rim_lies_at_the_width_and_shapely_agrees(outline, width):
    rim = fine(outline).boundary
    out = offset(outline, width, corners=ROUND)
    for piece in segments(out):
        middle = Point(*(piece.at(0.5) if isinstance(piece, Arc) else midway(piece)))
        assert rim.distance(middle) == pytest.approx(width, abs=1e-3)
    # GEOS leaves out points of its input that lie within a hundredth of the width, so it is only this near
    assert area(out) == pytest.approx(fine(outline, 1e-3).buffer(width).area, rel=3e-3)


@settings(max_examples=25, deadline=None)
@given(outlines(10), st.floats(0.1, 3))
def test_inward_every_point_lies_at_the_width_or_shapely_has_nothing_whole_left(outline, width):
    inner = fine(outline, 1e-3).buffer(-width)
    try:
        found = offset(outline, -width)
    except NothingLeft:
        assert inner.is_empty or len(shapely.get_parts(inner)) > 1
        return
    rim = fine(outline).boundary
    for piece in segments(found):
        middle = Point(*(piece.at(0.5) if isinstance(piece, Arc) else midway(piece)))
        assert rim.distance(middle) >= width - 1e-3
    assert area(found) == pytest.approx(inner.area, rel=1e-2)


def midway(piece):
    return (piece.start[0] + piece.end[0]) / 2, (piece.start[1] + piece.end[1]) / 2


@settings(max_examples=25, deadline=None)
@given(outlines(), st.floats(0.2, 2), st.floats(0, 360), st.tuples(st.floats(-300, 300), st.floats(-300, 300)))
def test_moving_and_turning_the_whole_changes_nothing(outline, width, degrees, by):
    placed = turned(moved(outline, *by), degrees)
    assert area(offset(placed, width)) == pytest.approx(area(offset(outline, width)), rel=1e-9)


@pytest.mark.parametrize("width", [1, -1])
def test_band_is_the_difference_of_both_outlines(width):
    assert area(band(rectangle(20, 12), width)) == pytest.approx(abs(240 - (20 + 2 * width) * (12 + 2 * width)))
    assert area(band(circle(9), width)) == pytest.approx(abs(81 - (9 + width) ** 2) * pi)


def test_band_around_an_outline_with_an_opening_is_refused():
    with pytest.raises(BadValue, match="opening"):
        band(Outline("POLYGON ((0 0, 9 0, 9 9, 0 9, 0 0), (2 2, 3 2, 3 3, 2 3, 2 2))"), 1)


def test_bed_along_a_fence_is_length_times_width():
    fence = pieces_of([(0, 0), (30, 0)])
    assert area(bed(fence, -4)) == 120
    assert area(bed(fence, 4)) == 120
    assert bed(fence, -4) != bed(fence, 4)


def test_bed_around_a_corner_is_mitered_on_either_side():
    fence = pieces_of([(0, 0), (10, 0), (10, 8)])
    assert area(bed(fence, 4)) == 14 * 4 + 8 * 4  # outside, the corner itself 4 by 4
    assert area(bed(fence, -4)) == 10 * 4 + 4 * 4
    assert area(bed(fence, 4, corners=ROUND)) == pytest.approx(10 * 4 + 8 * 4 + pi * 4)


def test_bed_along_a_half_circle_is_half_a_ring():
    half = [arc_through((-10, 0), (0, 10), (10, 0))]
    assert area(bed(half, 3)) == pytest.approx(pi / 2 * (100 - 49))
    assert area(bed(half, -3)) == pytest.approx(pi / 2 * (169 - 100))
    assert sorted(radii(bed(half, 3))) == pytest.approx([7, 10])


def test_line_set_off_runs_parallel():
    (one, other) = alongside(pieces_of([(0, 0), (10, 0), (10, 8)]), 2)
    assert (one.start, one.end, other.end) == ((0, -2), (12, -2), (12, 8))


def test_bed_wider_than_the_bend_is_refused():
    tight = pieces_of([(0, 0), (4, 0)], [-2])  # a half circle of 2 ft, its center at the right of the way
    with pytest.raises(NothingLeft, match="bends tighter"):
        bed(tight, 3)
    assert area(bed(tight, -3)) == pytest.approx(pi / 2 * (25 - 4))


def test_bed_that_would_run_into_itself_is_refused():
    hairpin = pieces_of([(0, 0), (20, 0), (20, 3), (0, 3)])
    with pytest.raises((NothingLeft, OutlineCrossesItself)):
        bed(hairpin, -2)


def test_every_side_of_a_closed_walk_is_as_long_as_it_says():
    assert perimeter(offset(rectangle(20, 12), 2)) == 80
