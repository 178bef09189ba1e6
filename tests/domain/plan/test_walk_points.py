"""Points put in, taken out and moved, edges bent to a rise or a radius, corners rounded, lengths typed: by hand."""

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan import points as edit
from app.domain.plan.arcs import Arc, Line, arc_through
from app.domain.plan.measures import area, perimeter
from app.domain.plan.outline import EdgeWithoutLength, OutlineCrossesItself
from app.domain.plan.pieces import heading, rise_of
from app.domain.plan.shapes import circle, parse_points, rectangle
from app.domain.plan.walks import Walk, line_of_walk, ring_of, walk_of_line, with_ring
from tests.plans.outlines import outlines

PATIO = rectangle(20, 12)
FENCE = walk_of_line([(0, 0), (10, 0), (10, 8)])


def test_point_moved_takes_both_edges_along():
    moved = with_ring(PATIO, edit.move_point(ring_of(PATIO), 2, (20, 16)))
    assert moved.wkt == "POLYGON ((0 0, 20 0, 20 16, 0 12, 0 0))"
    assert moved.shape == "points"


def test_arc_beside_a_moved_point_keeps_its_rise():
    bowed = parse_points("0,0 / 20,0 / arc 20,12 out 3 / 0,12")
    walk = edit.move_point(ring_of(bowed), 2, (20, 16))
    assert rise_of(walk.pieces[1]) == pytest.approx(3)
    assert rise_of(walk.pieces[0]) == 0


@settings(max_examples=40, deadline=None)
@given(outlines(), st.data())
def test_point_put_in_changes_nothing_and_taken_out_again_neither(outline, data):
    walk = ring_of(outline)
    place = data.draw(st.integers(0, len(walk.pieces) - 1))
    more = edit.insert_point(walk, place)
    assert area(with_ring(outline, more)) == pytest.approx(area(outline), rel=1e-12)
    assert perimeter(with_ring(outline, more)) == pytest.approx(perimeter(outline), rel=1e-12)
    back = edit.remove_point(more, place + 1)
    assert area(with_ring(outline, back)) == pytest.approx(area(outline), rel=1e-9)


def test_point_put_in_goes_to_the_nearest_place_of_the_edge():
    assert edit.insert_point(FENCE, 0, (3, 4)).points == ((0, 0), (3, 0), (10, 0), (10, 8))
    with pytest.raises(BadValue, match="between its ends"):
        edit.insert_point(FENCE, 0, (-3, 0))


def test_point_taken_out_is_passed_by_straight():
    assert edit.remove_point(FENCE, 1).points == ((0, 0), (10, 8))
    assert edit.remove_point(FENCE, 0).points == ((10, 0), (10, 8))
    assert edit.remove_point(FENCE, 2).points == ((0, 0), (10, 0))
    assert edit.remove_point(ring_of(PATIO), 0).points == ((20, 0), (20, 12), (0, 12))


def test_last_points_cannot_be_taken_out():
    with pytest.raises(BadValue, match="no line"):
        edit.remove_point(walk_of_line([(0, 0), (1, 0)]), 0)
    with pytest.raises(BadValue, match="no line"):
        edit.remove_point(ring_of(circle(5)), 0)


def test_edge_bent_by_rise_and_by_radius_is_the_same_arc():
    """r = (c²/4 + h²) / 2h (geometry): 8 ft chord, 2 ft rise, 5 ft radius."""
    line = walk_of_line([(0, 0), (8, 0)])
    by_rise, by_radius = edit.bend(line, 0, 2), edit.bend_to_radius(line, 0, 5)
    assert by_rise.pieces[0].radius == pytest.approx(5)
    assert rise_of(by_radius.pieces[0]) == pytest.approx(2)
    assert rise_of(edit.bend_to_radius(line, 0, -5).pieces[0]) == pytest.approx(-2)
    assert edit.bend(by_rise, 0, 0).pieces[0] == Line((0, 0), (8, 0))


def test_radius_that_does_not_reach_is_refused():
    with pytest.raises(BadValue, match="8'-0\" apart"):
        edit.bend_to_radius(walk_of_line([(0, 0), (8, 0)]), 0, 3.9)


def test_arc_runs_on_from_the_edge_before_without_a_corner():
    walk = edit.bend_tangent(FENCE, 1)  # a quarter would need 10 and 10: chord (10,0)-(10,8), tangent level
    arc = walk.pieces[1]
    assert isinstance(arc, Arc)
    assert (arc.center, arc.radius) == (pytest.approx((10, 4)), pytest.approx(4))
    into = edit.bend_tangent(FENCE, 0, to_next=True).pieces[0]
    assert into.center == pytest.approx((5, 0))


def test_arc_without_an_edge_to_run_on_from_is_refused():
    with pytest.raises(BadValue, match="no edge beside"):
        edit.bend_tangent(FENCE, 0)


def test_rounded_corner_takes_a_square_less_a_quarter_circle():
    """Area lost at a square corner: r² (1 − π/4) (geometry)."""
    for place in range(4):
        walk = edit.round_corner(ring_of(PATIO), place, 3)
        assert area(with_ring(PATIO, walk)) == pytest.approx(240 - 9 * (1 - pi / 4), rel=1e-12)
        assert [piece.radius for piece in walk.pieces if isinstance(piece, Arc)] == pytest.approx([3])


def test_rounded_corner_may_use_up_an_edge_but_no_more():
    walk = edit.round_corner(ring_of(PATIO), 1, 12)
    assert len(walk.pieces) == 4
    with pytest.raises(BadValue, match="smaller radius"):
        edit.round_corner(ring_of(PATIO), 1, 12.5)


def test_corner_between_an_arc_and_an_edge_is_rounded_by_an_arc_that_touches_both():
    """A half disc of 10 ft: the circle of 2 ft that touches the edge y = 0 and the rim from inside has its center at
    (√(8² − 2²), 2), as 10 − 2 = 8 (geometry)."""
    half = walk_of_line([(-10, 0), (10, 0), (-10, 0)], [0, 10])
    walk = edit.round_corner(Walk(half.pieces, closed=True), 1, 2)
    line, arc, rim = walk.pieces
    assert (arc.radius, arc.center) == (pytest.approx(2), pytest.approx((60**0.5, 2)))
    assert line.end == pytest.approx((60**0.5, 0))
    assert arc.end == pytest.approx((10 / 8 * 60**0.5, 2.5))
    assert (rim.radius, rim.center) == (pytest.approx(10), pytest.approx((0, 0), abs=1e-9))
    for one, two in ((line, arc), (arc, rim)):
        assert heading(one, 1) == pytest.approx(heading(two, 0), abs=1e-9)


def test_corner_between_two_arcs_is_rounded():
    """Two circles of 5 ft about (∓3, 0) cross at (0, 4); the circle of 1 ft that touches both from inside at the upper
    corner has its center at (0, √(4² − 3²)), as 5 − 1 = 4 (geometry)."""
    left, right = arc_through((0, 4), (-2, 0), (0, -4)), arc_through((0, -4), (2, 0), (0, 4))
    walk = edit.round_corner(Walk((left, right), closed=True), 0, 1)
    arc = next(piece for piece in walk.pieces if piece.radius == pytest.approx(1))
    assert arc.center == pytest.approx((0, 7**0.5), abs=1e-9)
    assert sorted(piece.radius for piece in walk.pieces) == pytest.approx([1, 5, 5])


def test_arc_too_large_for_its_corner_is_refused():
    half = walk_of_line([(-10, 0), (10, 0), (-10, 0)], [0, 10])
    with pytest.raises(BadValue, match="touches both edges"):
        edit.round_corner(Walk(half.pieces, closed=True), 1, 5.5)


@pytest.mark.parametrize(("place", "walk"), [(0, FENCE), (2, FENCE), (1, walk_of_line([(0, 0), (5, 0), (9, 0)]))])
def test_where_there_is_no_corner_none_is_rounded(place, walk):
    with pytest.raises(BadValue, match="corner"):
        edit.round_corner(walk, place, 1)


def test_length_of_a_rectangles_side_widens_the_rectangle():
    wider = with_ring(PATIO, edit.set_length(ring_of(PATIO), 0, 24))
    assert (wider.shape, wider.sizes, wider.wkt) == ("rectangle", (24, 12), rectangle(24, 12).wkt)


@pytest.mark.parametrize(("edge", "points"), [
    (1, ((0, 0), (20, 0), (20, 15), (0, 15))),
    (2, ((5, 0), (20, 0), (20, 12), (5, 12))),
    (3, ((0, -3), (20, -3), (20, 12), (0, 12))),
])  # fmt: skip
def test_each_side_of_a_rectangle_is_as_long_as_typed_and_the_rest_stays_square(edge, points):
    assert edit.set_length(ring_of(PATIO), edge, 15).points == points


def test_length_on_a_line_moves_all_later_points_along():
    assert edit.set_length(FENCE, 0, 12).points == ((0, 0), (12, 0), (12, 8))
    assert edit.set_length(FENCE, 1, 3).points == ((0, 0), (10, 0), (10, 3))


def test_length_of_an_arc_keeps_the_angle_it_turns_through():
    half = walk_of_line([(0, 0), (4, 0), (9, 0)], [2, 0])
    longer = edit.set_length(half, 0, 3 * pi)
    assert longer.points == ((0, 0), (6, 0), (11, 0))
    assert longer.pieces[0].length == pytest.approx(3 * pi)


def test_length_in_an_l_is_taken_up_by_the_next_edge_the_same_way():
    ell = parse_points("0,0 / 20,0 / 20,6 / 12,6 / 12,12 / 0,12")
    assert edit.set_length(ring_of(ell), 0, 22).points == ((0, 0), (22, 0), (22, 6), (12, 6), (12, 12), (0, 12))


def test_shortened_past_what_the_next_edge_can_take_goes_to_the_one_after():
    ell = parse_points("0,0 / 20,0 / 20,6 / 12,6 / 12,12 / 0,12")
    assert edit.set_length(ring_of(ell), 0, 11).points == ((0, 0), (11, 0), (11, 6), (3, 6), (3, 12), (0, 12))


def test_length_in_a_triangle_is_taken_up_by_the_edge_back():
    tri = parse_points("0,0 / 10,0 / 0,8")
    assert edit.set_length(ring_of(tri), 0, 12).points == ((0, 0), (12, 0), (2, 8))


def test_direction_turns_an_edge_about_its_start():
    turned = edit.set_direction(FENCE, 0, 90)
    assert turned.points == ((0, 0), (0, 10), (0, 18))


def test_length_of_nothing_and_points_on_one_another_are_refused():
    with pytest.raises(BadValue, match="above zero"):
        edit.set_length(FENCE, 0, 0)
    with pytest.raises(EdgeWithoutLength):
        edit.move_point(FENCE, 1, (0, 0))
    with pytest.raises(OutlineCrossesItself):
        with_ring(PATIO, edit.move_point(ring_of(PATIO), 2, (10, -5)))


@pytest.mark.parametrize("wrong", [-1, 4, 99])
def test_points_and_edges_that_are_not_there_are_refused(wrong):
    walk = ring_of(PATIO)
    for action in (
        lambda: edit.move_point(walk, wrong, (0, 0)),
        lambda: edit.remove_point(walk, wrong),
        lambda: edit.insert_point(walk, wrong),
        lambda: edit.bend(walk, wrong, 1),
        lambda: edit.set_length(walk, wrong, 1),
    ):
        with pytest.raises(BadValue, match="afresh"):
            action()
    with pytest.raises(BadValue, match="opening"):
        ring_of(PATIO, 1)


def test_pieces_that_are_not_named_stay_exactly_as_they_are():
    typed = parse_points("0,0 / 20,0 / arc 20,12 through 24,3 / 0,12")
    walk = edit.move_point(ring_of(typed), 0, (1, 0))
    assert walk.pieces[1] == ring_of(typed).pieces[1]
    assert "24 3" in with_ring(typed, walk).wkt


def test_line_comes_back_as_points_and_rises():
    points, rises = line_of_walk(edit.bend(FENCE, 1, -1.5))
    assert points == ((0, 0), (10, 0), (10, 8))
    assert rises == pytest.approx((0, -1.5))
    assert line_of_walk(FENCE)[1] == ()
