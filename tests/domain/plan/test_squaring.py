"""Squared up: nearly square is square, by the least movement; what is askew on purpose stays."""

from math import atan2, degrees

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc
from app.domain.plan.measures import area, turned
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import segments
from app.domain.plan.shapes import circle, from_points, l_shape, parse_points, rectangle
from app.domain.plan.squaring import square_up, square_up_line


def corners(outline):
    found = []
    pieces = segments(outline)
    for before, piece in zip((pieces[-1], *pieces[:-1]), pieces, strict=True):
        one = atan2(before.end[1] - before.start[1], before.end[0] - before.start[0])
        other = atan2(piece.end[1] - piece.start[1], piece.end[0] - piece.start[0])
        found.append((180 - degrees(other - one)) % 360)
    return found


def test_point_two_tenths_off_is_shared_by_both_ends():
    squared, moved = square_up(parse_points("0,0 / 20,0.2 / 20,12 / 0,12"))
    assert squared.wkt == "POLYGON ((0 0.1, 20 0.1, 20 12, 0 12, 0 0.1))"
    assert moved == pytest.approx(0.1)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2)), min_size=6, max_size=6), st.floats(0, 360))
def test_l_drawn_with_noise_has_six_square_corners_at_any_turn(noise, turn):
    exact = [(0, 0), (24, 0), (24, 8), (10, 8), (10, 16), (0, 16)]
    drawn = turned(from_points([(x + dx, y + dy) for (x, y), (dx, dy) in zip(exact, noise, strict=True)]), turn)
    squared, moved = square_up(drawn)
    assert sorted(corners(squared)) == pytest.approx([90] * 5 + [270], abs=1e-5)
    assert moved < 0.6
    assert area(squared) == pytest.approx(24 * 8 + 10 * 8, rel=0.06)


@pytest.mark.parametrize("exact", [rectangle(20, 12), rectangle(20, 12, turn=30), l_shape(20, 12, 5, 4), circle(9)])
def test_what_is_square_stays_the_very_same(exact):
    assert square_up(exact) == (exact, 0.0)


def test_what_is_askew_on_purpose_stays():
    triangle = parse_points("0,0 / 20,7 / 3,15")
    assert square_up(triangle) == (triangle, 0.0)


def test_arc_keeps_the_angle_it_turns_through():
    bowed = parse_points("0,0 / 20,0.3 / arc 20,12 out 6 / 0,12")
    (before,) = (piece for piece in segments(bowed) if isinstance(piece, Arc))
    (after,) = (piece for piece in segments(square_up(bowed)[0]) if isinstance(piece, Arc))
    assert after.sweep == pytest.approx(before.sweep)


def test_how_nearly_counts_is_set():
    drawn = parse_points("0,0 / 20,1.2 / 20,12 / 0,12")  # 3.4°
    assert square_up(drawn, within=3)[1] == 0
    assert square_up(drawn, within=4)[1] > 0.5


@pytest.mark.parametrize("within", [-1, 21, float("nan")])
def test_angle_out_of_range_is_refused(within):
    with pytest.raises(BadValue, match="degrees"):
        square_up(rectangle(2, 2), within=within)


def test_line_is_squared_up_with_its_ends_free():
    line, moved = square_up_line(pieces_of([(0, 0), (10, 0.1), (10.2, 8)]))
    points = [line[0].start, *[piece.end for piece in line]]
    assert points[0][1] == points[1][1]
    assert points[1][0] == points[2][0]
    assert 0 < moved < 0.15
