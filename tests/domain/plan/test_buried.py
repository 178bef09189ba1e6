"""Lines below outlines and lines that cross, against closed forms."""

from itertools import pairwise
from math import acos, asin, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.plan import circle, rectangle
from app.domain.plan.arcs import Line, arc_through
from app.domain.plan.buried import below, covered, crossings
from app.domain.plan.measures import moved, turned, turning
from app.domain.plan.outline import Outline

TERRACE = rectangle(20, 12)
HOLED = Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0), (5 3, 5 9, 15 9, 15 3, 5 3))")


def line(*points):
    return [Line(a, b) for a, b in pairwise(points)]


def test_straight_line_through_a_rectangle_is_below_it_between_its_sides() -> None:
    (found,) = below(line((-4, 6), (30, 6)), {"A": TERRACE})
    assert (found.start, found.end, found.length) == pytest.approx((4, 24, 20))
    assert (found.enters, found.leaves) == (pytest.approx((0, 6)), pytest.approx((20, 6)))


def test_line_that_comes_back_is_below_twice() -> None:
    found = below(line((-4, 2), (30, 2), (30, 10), (-4, 10)), {"A": TERRACE})
    assert [(one.start, one.end) for one in found] == [pytest.approx((4, 24)), pytest.approx((52, 72))]


def test_corner_within_an_outline_does_not_part_a_stretch() -> None:
    (found,) = below(line((10, -5), (10, 6), (30, 6)), {"A": TERRACE})
    assert found.length == pytest.approx(16)


def test_line_through_a_hole_comes_out_and_goes_under_again() -> None:
    assert [one.length for one in below(line((-4, 6), (30, 6)), {"A": HOLED})] == pytest.approx([5, 5])


def test_chord_of_a_circle_is_as_long_as_pythagoras_says() -> None:
    (found,) = below(line((-20, 3), (20, 3)), {"pit": circle(5)})
    assert found.length == pytest.approx(8, abs=0.01)  # chords of the circle lie within 1/64 in


def test_arc_is_told_along_itself_not_along_its_chords() -> None:
    """Half a circle of 10 ft, cut off at half its height: 10 · 2 · acos(1/2). Source: geometry."""
    arc = arc_through((-10, 0), (0, 10), (10, 0))
    (found,) = below([arc], {"A": rectangle(40, 40, at=(-20, 5))})
    assert found.length == pytest.approx(20 * acos(0.5), abs=0.01)
    (whole,) = below([arc], {"A": rectangle(40, 40, at=(-20, -20))})
    assert whole.length == pytest.approx(10 * pi, rel=1e-12)


def test_ground_that_two_outlines_cover_counts_once_but_is_told_for_each() -> None:
    outlines = {"A": TERRACE, "B": rectangle(20, 12, at=(15, 0))}
    conduit = line((-4, 6), (40, 6))
    assert [(one.over, one.length) for one in below(conduit, outlines)] == [("A", 20), ("B", 20)]
    assert covered(conduit, outlines) == pytest.approx(35)


def test_line_along_an_edge_or_beside_it_lies_below_nothing_much() -> None:
    assert below(line((0, 12.01), (20, 12.01)), {"A": TERRACE}) == ()
    assert below(line((0, 13), (20, 13)), {}) == ()


def test_two_lines_cross_at_their_angle() -> None:
    (found,) = crossings(line((0, 0), (10, 10)), line((0, 4), (10, 4)))
    assert (found.along, found.along_other, found.angle) == pytest.approx((4 * sqrt(2), 4, 45))
    assert found.at == pytest.approx((4, 4))


def test_crossing_at_a_corner_of_a_line_is_told_once() -> None:
    assert len(crossings(line((0, 0), (5, 0), (5, 5)), line((5, -5), (5, 0), (9, 0)))) == 1


def test_lines_that_run_along_each_other_or_apart_do_not_cross() -> None:
    assert crossings(line((0, 0), (10, 0)), line((2, 0), (8, 0))) == ()
    assert crossings(line((0, 0), (10, 0)), line((2, 1), (8, 1))) == ()


def test_arc_and_line_cross_where_the_circle_says() -> None:
    arc = arc_through((-10, 0), (0, 10), (10, 0))
    found = crossings([arc], line((-20, 5), (20, 5)))
    # walked from the left end up: the height 5 comes at asin(1/2) of the half circle, and again before its end
    assert [one.along for one in found] == pytest.approx([10 * asin(0.5), 10 * (pi - asin(0.5))], abs=0.01)


@given(
    st.lists(st.tuples(st.integers(-20, 20), st.integers(-20, 20)), min_size=2, max_size=5, unique=True),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
    st.floats(0, 360),
)
@settings(max_examples=60, deadline=None)
def test_place_and_way_of_a_line_change_no_length(points, by, degrees) -> None:
    outlines = {"A": rectangle(13.37, 9.71, at=(-6.1, -4.3)), "B": HOLED, "pit": circle(5.03, at=(0.21, 12.4))}
    whole = covered(line(*points), outlines)
    assert covered(line(*reversed(points)), outlines) == pytest.approx(whole, abs=1e-6)
    assert 0 <= whole <= sum(piece.length for piece in line(*points)) + 1e-9
    turn = turning(degrees, (0, 0))
    placed = {key: turned(moved(one, *by), degrees) for key, one in outlines.items()}
    away = [turn((x + by[0], y + by[1])) for x, y in points]
    assert covered(line(*away), placed) == pytest.approx(whole, abs=0.01)
