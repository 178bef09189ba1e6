"""Lines with arcs: lengths by closed formula, what runs within outlines, moved, turned and mirrored as they are."""

from math import asin, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan.lines import parse_line, typed_line
from app.domain.plan.measures import area, perimeter
from app.domain.plan.open_lines import (
    corners_of,
    fine_points,
    length_of,
    length_of_arcs,
    length_within,
    pieces_of,
    points_and_rises,
)
from app.domain.plan.outline import EdgeWithoutLength, segments
from app.domain.plan.placing import Placing, mirroring, placing_of
from app.domain.plan.shapes import circle, l_shape, rectangle
from app.domain.plan.walks import walk_of_line
from tests.plans.outlines import outlines

BENT = ((0, 0), (8, 0), (8, 5)), (2.0, 0.0)


def test_length_along_an_arc_is_radius_times_angle():
    """Chord 8, rise 2: radius 5, half angle asin 4/5 (geometry)."""
    assert length_of(*BENT) == pytest.approx(10 * asin(0.8) + 5)
    assert length_of_arcs(*BENT) == pytest.approx(10 * asin(0.8))
    assert length_of([(0, 0), (3, 4), (3, 10)]) == 11


def test_missing_rises_are_straight():
    assert length_of([(0, 0), (8, 0), (8, 5)], [2]) == length_of(*BENT)


def test_more_than_half_a_circle_has_a_rise_above_half_its_chord():
    (arc,) = pieces_of([(0, 0), (2, 0)], [1 + 2**0.5])
    assert arc.length == pytest.approx(1.5 * pi * 2**0.5)


def test_points_and_rises_come_back_as_they_were():
    points, rises = points_and_rises(pieces_of(*BENT))
    assert points == BENT[0]
    assert rises == pytest.approx(BENT[1])


def test_fine_points_lie_on_the_line():
    drawn = fine_points(*BENT)
    assert (drawn[0], drawn[-1]) == ((0, 0), (8, 5))
    middle = (4, 1.5)  # center of the arc: 3 above its chord at the other side
    assert middle[1] == 5 - 2 - 1.5
    on_arc = [((x - 4) ** 2 + (y - 3) ** 2) ** 0.5 for x, y in drawn[:-2]]
    assert on_arc == pytest.approx([5] * len(on_arc))


def test_length_within_counts_common_ground_once():
    grounds = [rectangle(10, 10), rectangle(10, 10, at=(5, 0))]
    assert length_within([(-5, 5), (40, 5)], (), grounds) == pytest.approx(15)
    half = [((-5, 0), (5, 0)), (5.0,)]  # a half circle below the chord
    assert length_within(*half, [rectangle(20, 20, at=(0, -20))]) == pytest.approx(5 * pi / 2, abs=1e-3)


def test_point_twice_in_a_row_is_refused_when_typed_and_counts_once_when_measured():
    with pytest.raises(EdgeWithoutLength, match="twice"):
        walk_of_line([(0, 0), (0, 0)])
    with pytest.raises(EdgeWithoutLength, match="twice"):
        parse_line("0,0 / 3,0 / 3,0")
    assert length_of([(0, 0), (3, 0), (3, 0), (3, 4)]) == 7


def test_corners_are_where_a_line_turns_and_not_where_it_bends():
    assert corners_of([(0, 0), (8, 0), (8, 5)]) == 1
    assert corners_of([(0, 0), (8, 0), (16, 0.5)]) == 0  # 3.6°
    assert corners_of([(0, 0), (8, 0), (8, 8), (0, 8)], [0, 4]) == 0  # a half circle between two parallels


def test_typed_line_with_arcs_is_read_and_typed_again():
    points, rises = parse_line("0,0 / 8,0 / arc 8,8 right 4 / arc 0,8 through 4,10")
    assert points == ((0, 0), (8, 0), (8, 8), (0, 8))
    assert rises == pytest.approx((0, 4, 2))
    assert parse_line(typed_line(points, rises)) == (points, pytest.approx(rises))
    assert parse_line("0,0 / arc 8,0 left 2")[1] == (-2,)


@given(st.lists(st.tuples(st.floats(-200, 200), st.floats(-200, 200)), min_size=2, max_size=6, unique=True))
def test_typed_again_no_point_moves(points):
    line = tuple(points)
    try:
        walk_of_line(line)
    except EdgeWithoutLength:
        return
    for system in ("feet", "metric"):
        again, _ = parse_line(typed_line(line, (), system=system), system=system)
        for one, other in zip(line, again, strict=True):
            assert one == pytest.approx(other, abs=1e-5)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("arc 8,0 right 2 / 3,3", "where the line starts"),
        ("0,0 / arc 8,0 up 2", "is not understood"),
        ("0,0 / arc 8,0 through 4,0", "lie on a line"),
        ("0,0 / 8", "is not a point"),
        ("0,0", "2 to 200 points"),
    ],
)
def test_line_that_is_none_is_refused(typed, said):
    with pytest.raises(BadValue, match=said):
        parse_line(typed)


@settings(max_examples=40, deadline=None)
@given(outlines(), st.floats(-300, 300), st.floats(-300, 300), st.floats(0, 360))
def test_placing_changes_neither_area_nor_outline_nor_radii(outline, east, north, turn):
    for placing in (placing_of(east=east, north=north, turn=turn, about=(3, 4)), Placing(mirror=((0, 0), (3, 1)))):
        placed = placing.outline(outline)
        assert area(placed) == pytest.approx(area(outline), rel=1e-9)
        assert perimeter(placed) == pytest.approx(perimeter(outline), rel=1e-9)


def test_line_is_mirrored_to_its_other_hand():
    placing = Placing(mirror=((10, 0), (10, 5)))
    points, rises = placing.points(BENT[0]), placing.rises(BENT[1])
    assert (points, rises) == (((20, 0), (12, 0), (12, 5)), (-2.0, 0.0))
    assert length_of(points, rises) == pytest.approx(length_of(*BENT))


def test_moved_line_keeps_its_rises():
    placing = placing_of(east=3, north=-1, turn=90)
    assert placing.points([(1, 0)]) == ((3, 0),)
    assert placing.rises(BENT[1]) == BENT[1]


def test_shape_as_typed_is_kept_where_it_still_is_one():
    assert placing_of(turn=30).outline(rectangle(20, 12)).shape == "rectangle"
    mirror = Placing(mirror=((0, 0), (0, 1)))
    assert mirror.outline(l_shape(20, 12, 5, 4)).shape == "points"
    assert mirror.outline(circle(4, at=(3, 0))).sizes == (4,)
    assert min(x for piece in segments(mirror.outline(rectangle(20, 12))) for x, _ in [piece.start]) == -20


def test_directions_turn_with_the_plan():
    """Bearings run clockwise from the top of the plan, turning counterclockwise."""
    assert placing_of(turn=90).bearing(0) == 270
    assert Placing(mirror=((0, 0), (0, 1))).bearing(30) == 330
    assert Placing(mirror=((0, 0), (1, 1))).bearing(0) == pytest.approx(90)


def test_mirror_line_needs_two_points_and_a_move_stays_on_earth():
    with pytest.raises(BadValue, match="two different points"):
        mirroring((1, 1), (1, 1))
    with pytest.raises(BadValue, match="leads off"):
        placing_of(east=6000)


@given(st.floats(-50, 50), st.floats(-50, 50))
def test_mirrored_twice_is_where_it_was(x, y):
    mirror = mirroring((1, 2), (4, -3))
    assert mirror(mirror((x, y))) == pytest.approx((x, y), abs=1e-9)


MARKS = {"P1": (3.0, 4.0), "Sill left": (20.0, 0.0), "P9": None, "arc": (1.0, 1.0)}


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("P1 / sill  LEFT", ((3.0, 4.0), (20.0, 0.0))),
        ("0,0 / P1 / 12,8", ((0.0, 0.0), (3.0, 4.0), (12.0, 8.0))),
        ("P1 / arc Sill left right 2", ((3.0, 4.0), (20.0, 0.0))),
        ("arc / P1", ((1.0, 1.0), (3.0, 4.0))),
    ],
)
def test_points_of_a_line_may_be_the_names_of_marks(text, points) -> None:
    assert parse_line(text, marks=MARKS)[0] == points


def test_line_is_typed_again_by_the_names_of_the_marks_it_lies_on() -> None:
    line, rises = parse_line("P1 / 12,8 / arc Sill left left 2", marks=MARKS)
    told = typed_line(line, rises, marks=MARKS)
    assert told == "P1 / 12'-0\", 8'-0\" / arc Sill left left 2'-0\""
    assert parse_line(told, marks=MARKS) == (line, rises)


@pytest.mark.parametrize("text", ["P1 / P9", "P1 / P2", "P1 / P1"])
def test_marks_without_a_place_unknown_ones_and_the_same_twice_are_refused(text) -> None:
    with pytest.raises(BadValue):
        parse_line(text, marks=MARKS)
