"""A line parts an outline: nothing is lost, points stay, arcs keep their radii; joined again it is what it was.

References: closed formulas of the circle and its segment (geometry), shapely on fine chords.
"""

from itertools import pairwise
from math import acos, cos, pi, sin, sqrt

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.ops import split as shapely_split

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line, arc_through
from app.domain.plan.joining import DoNotTouch, join
from app.domain.plan.measures import area, bounds, centroid, moved, perimeter, turned, turning
from app.domain.plan.outline import Outline, segments
from app.domain.plan.shapes import circle, parse_points, rectangle
from app.domain.plan.splitting import DoesNotCut, split
from tests.plans.outlines import fine, outlines

SIXTY_FOURTH = 1 / 64 / 12  # ft
RINGED = Outline("POLYGON ((0 0, 20 0, 20 20, 0 20, 0 0), (5 5, 15 5, 15 15, 5 15, 5 5))")


def across(outline: Outline, turn: float, off: float = 0.0) -> list[Line]:
    """A straight line through (or `off` beside) the middle of an outline, well beyond it on both ends."""
    west, south, east, north = bounds(outline)
    reach = east - west + north - south
    x, y = centroid(outline)
    dx, dy = cos(turn), sin(turn)
    x, y = x - off * dy, y + off * dx
    return [Line((x - reach * dx, y - reach * dy), (x + reach * dx, y + reach * dy))]


def radii(outline: Outline) -> list[float]:
    return sorted(piece.radius for piece in segments(outline) if isinstance(piece, Arc))


def test_circle_is_cut_into_two_segments_of_the_handbook():
    """Area of a circular segment r² acos(d/r) − d √(r² − d²) (geometry)."""
    large, small = split(circle(10), [Line((-12, 3), (12, 3))])
    segment = 100 * acos(0.3) - 3 * sqrt(91)
    assert area(small) == pytest.approx(segment, rel=1e-12)
    assert area(large) == pytest.approx(100 * pi - segment, rel=1e-12)
    assert radii(small) == pytest.approx([10], abs=1e-9)


def test_line_that_stops_inside_runs_straight_on_to_the_edge():
    long, short = split(circle(10), [Line((-12, 3), (12, 3))]), split(circle(10), [Line((1, 3), (2, 3))])
    assert [area(part) for part in short] == pytest.approx([area(part) for part in long], rel=1e-12)


def test_cut_by_an_arc_gives_both_parts_that_arc():
    parts = split(rectangle(20, 12), [arc_through((10, -1), (15, 6), (10, 13))])
    for part in parts:
        assert radii(part) == pytest.approx([arc_through((10, -1), (15, 6), (10, 13)).radius], abs=1e-9)
    assert sum(map(area, parts)) == pytest.approx(240, rel=1e-13)


def test_cut_with_a_corner_parts_along_both_edges():
    one, other = split(rectangle(20, 12), [Line((5, -1), (5, 6)), Line((5, 6), (21, 6))])
    assert {area(one), area(other)} == {90, 150}


def test_cut_through_an_opening_leaves_two_parts_without_one():
    parts = split(RINGED, [Line((10, -1), (10, 21))])
    assert [area(part) for part in parts] == [150, 150]
    assert all("), (" not in part.wkt for part in parts)


def test_cut_beside_an_opening_leaves_it_in_its_part():
    whole, strip = split(RINGED, [Line((2, -1), (2, 21))])
    assert (area(whole), area(strip)) == (260, 40)
    assert perimeter(whole) == 76 + 40


def test_closed_cut_inside_takes_an_island_out():
    ring = [Line((5, 5), (10, 5)), Line((10, 5), (10, 9)), Line((10, 9), (5, 9)), Line((5, 9), (5, 5))]
    parts = split(rectangle(20, 12), ring)
    assert pytest.approx(20) in [area(part) for part in parts]
    assert sum(map(area, parts)) == pytest.approx(240)


def test_u_is_cut_into_three():
    u = parse_points("0,0 / 30,0 / 30,20 / 20,20 / 20,5 / 10,5 / 10,20 / 0,20")
    parts = split(u, [Line((-1, 10), (31, 10))])
    assert [area(part) for part in parts] == [250, 100, 100]


@pytest.mark.parametrize(
    "line",
    [
        [],
        [Line((30, 0), (30, 12))],
        [Line((0, 0), (20, 0))],  # along an edge
        [Line((20, -5), (20, 20))],
        [Line((18, -2), (22, 2))],  # through a corner only
    ],
)
def test_line_that_does_not_cut_is_refused(line):
    with pytest.raises(DoesNotCut, match="two"):
        split(rectangle(20, 12), line)


def test_line_to_an_opening_only_does_not_cut():
    with pytest.raises(DoesNotCut):
        split(RINGED, [Line((10, -1), (10, 5))])


def test_zigzag_into_too_many_parts_is_refused():
    teeth = [(x / 2, -1 if n % 2 else 1) for n, x in enumerate(range(60))]
    with pytest.raises(BadValue, match="simpler line"):
        split(rectangle(40, 12), [Line(*pair) for pair in pairwise(teeth)])


@settings(max_examples=40, deadline=None)
@given(outlines(), st.floats(0, pi), st.floats(-2, 2))
def test_parts_have_the_area_of_the_whole_and_shapely_agrees(outline, turn, off):
    line = across(outline, turn, off)
    parts = split(outline, line)
    # a cut that comes within a thousandth of an inch of a corner is drawn to it
    assert sum(map(area, parts)) == pytest.approx(area(outline), abs=2e-3)
    cut = shapely.LineString([line[0].start, line[0].end])
    theirs = sorted(one.area for one in shapely_split(fine(outline), cut).geoms)
    assume(len(theirs) == len(parts))
    assert sorted(map(area, parts)) == pytest.approx(theirs, abs=2e-2)


@settings(max_examples=40, deadline=None)
@given(outlines(), st.floats(0, pi), st.floats(-2, 2))
def test_points_stay_and_arcs_keep_their_radii(outline, turn, off):
    parts = split(outline, across(outline, turn, off))
    typed = {piece.start for piece in segments(outline)}
    assert typed <= {piece.start for part in parts for piece in segments(part)}
    whole = radii(outline)
    for found in {round(radius, 4) for part in parts for radius in radii(part)}:
        assert min(abs(found - radius) for radius in whole) < SIXTY_FOURTH


@settings(max_examples=40, deadline=None)
@given(outlines(), st.floats(0, pi))
def test_split_then_join_is_the_outline_again(outline, turn):
    parts = split(outline, across(outline, turn))
    assume(len(parts) == 2)
    again = join(*parts)
    assert area(again) == pytest.approx(area(outline), rel=1e-9)
    assert perimeter(again) == pytest.approx(perimeter(outline), rel=1e-9)
    assert len(radii(again)) == len(radii(outline))
    for one, other in zip(radii(again), radii(outline), strict=True):
        assert abs(one - other) < SIXTY_FOURTH
    assert len(segments(again)) == len(segments(outline))


@settings(max_examples=25, deadline=None)
@given(outlines(), st.floats(0, 360), st.tuples(st.floats(-300, 300), st.floats(-300, 300)))
def test_moving_and_turning_the_whole_changes_no_part(outline, degrees, by):
    line = across(outline, 0.4)
    placed = turned(moved(outline, *by), degrees)
    turn = turning(degrees, (0, 0))
    carried = [Line(*(turn((x + by[0], y + by[1])) for x, y in (line[0].start, line[0].end)))]
    assert [area(p) for p in split(placed, carried)] == pytest.approx([area(p) for p in split(outline, line)], abs=1e-6)


def test_order_of_parts_does_not_matter_to_the_join():
    parts = split(circle(10), [Line((-12, 3), (12, 3))])
    assert area(join(*parts)) == pytest.approx(area(join(*reversed(parts))), rel=1e-12)


@pytest.mark.parametrize(
    ("other", "size", "corners"),
    [
        (rectangle(5, 12, at=(20, 0)), 300, 4),  # flush: no point is left on the straight edges
        (rectangle(5, 12, at=(20.1, 0)), 301.2, 4),  # a gap of an inch and a bit is filled
        (rectangle(5, 4, at=(20.1, 3)), 260.4, 8),
        (rectangle(5, 4, at=(19.95, 3)), 259.8, 8),  # drawn a little over the other
        (rectangle(5, 4, at=(18, 3)), 252, 8),  # overlapping: the ground counts once
        (rectangle(5, 5, at=(19, 12)), 265, 8),
    ],
)
def test_two_rectangles_are_joined(other, size, corners):
    joined = join(rectangle(20, 12), other)
    assert area(joined) == pytest.approx(size)
    assert len(segments(joined)) == corners


def test_joined_typed_points_stay_where_they_are():
    joined = join(rectangle(20, 12), rectangle(5, 12, at=(20.1, 0.05)))
    corners = {piece.start for piece in segments(joined)}
    assert {(0, 0), (20, 0), (20.1, 0.05), (25.1, 0.05), (25.1, 12.05), (20.1, 12.05), (20, 12), (0, 12)} == corners


def test_island_put_into_its_opening_fills_it():
    assert join(RINGED, rectangle(10, 10, at=(5, 5))).wkt == "POLYGON ((0 0, 20 0, 20 20, 0 20, 0 0))"


def test_bar_across_a_u_leaves_an_opening():
    u = parse_points("0,0 / 30,0 / 30,20 / 20,20 / 20,5 / 10,5 / 10,20 / 0,20")
    joined = join(u, rectangle(30, 5, at=(0, 20)))
    assert area(joined) == pytest.approx(450 + 150)
    assert perimeter(joined) == pytest.approx(2 * (30 + 25) + 2 * (10 + 15))


def test_arc_against_an_arc_with_a_gap_is_filled():
    bowed = parse_points("0,0 / 20,0 / arc 20,12 out 6 / 0,12")
    hollow = parse_points("30,-5 / 30,17 / 20,17 / 20,12.1 / arc 20,-0.1 through 26.1,6 / 20,-5")
    joined = join(bowed, hollow)
    assert area(joined) == pytest.approx(20 * 12 + 10 * 22)
    assert not radii(joined)


def test_outlines_apart_are_refused_with_their_distance():
    with pytest.raises(DoNotTouch, match="3'-0\" apart"):
        join(rectangle(20, 12), rectangle(5, 5, at=(23, 0)))


def test_outlines_that_meet_at_a_point_are_refused():
    with pytest.raises(DoNotTouch, match="at a point"):
        join(rectangle(20, 12), rectangle(5, 5, at=(20, 12)))
