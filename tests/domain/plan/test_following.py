"""Outlines through measured points follow them."""

import pytest

from app.domain.plan import area, from_points, parse_points, rectangle
from app.domain.plan.arcs import Arc
from app.domain.plan.following import line_following, moves_between, outline_following
from app.domain.plan.outline import OutlineCrossesItself, segments

MOVES = moves_between([((20.0, 0.0), (21.0, 0.5)), ((0.0, 0.0), (0.0, 0.0)), ((5.0, 5.0), (6.0, 6.0))])


def test_corner_on_a_mark_moves_with_it_and_others_stay() -> None:
    square = from_points([(0, 0), (20, 0), (20, 10), (0, 10)])
    assert outline_following(square, MOVES) == from_points([(0, 0), (21, 0.5), (20, 10), (0, 10)])


def test_hole_follows_too() -> None:
    from app.domain.plan.outline import Outline

    holed = Outline("POLYGON ((0 0, 20 0, 20 10, 0 10, 0 0), (5 5, 5 8, 8 8, 5 5))")
    assert outline_following(holed, MOVES).wkt == "POLYGON ((0 0, 21 0.5, 20 10, 0 10, 0 0), (6 6, 5 8, 8 8, 6 6))"


def test_middle_of_an_arc_moves_half_as_far_as_its_one_end() -> None:
    bay = parse_points("0,0 / 20,0 / arc 20,10 through 25,5 / 0,10")
    (arc,) = [piece for piece in segments(outline_following(bay, MOVES)) if isinstance(piece, Arc)]
    assert (arc.start, arc.through, arc.end) == ((21.0, 0.5), (25.5, 5.25), (20.0, 10.0))


def test_outline_that_is_near_a_mark_or_typed_by_sizes_stays() -> None:
    near = from_points([(0, 0), (20.001, 0), (20, 10)])
    assert outline_following(near, MOVES) is near
    typed = rectangle(20, 10)
    assert outline_following(typed, MOVES) is typed


def test_outline_that_would_cross_itself_is_refused() -> None:
    with pytest.raises(OutlineCrossesItself):
        outline_following(
            from_points([(0, 0), (20, 0), (20, 10), (0, 10)]), moves_between([((20.0, 0.0), (-5.0, 5.0))])
        )


def test_line_follows_and_moving_back_gives_the_same() -> None:
    line = ((0.0, 0.0), (20.0, 0.0), (30.0, 3.0))
    moved = line_following(line, MOVES)
    assert moved == ((0.0, 0.0), (21.0, 0.5), (30.0, 3.0))
    assert line_following(moved, moves_between([(b, a) for a, b in MOVES.pairs])) == line


def test_marks_that_stay_move_nothing() -> None:
    assert moves_between([((1.0, 1.0), (1.0, 1.0))]).pairs == ()
    assert area(outline_following(from_points([(0, 0), (20, 0), (20, 10)]), moves_between([]))) == 100
