"""Outlines typed by the names of marks."""

from math import pi

import pytest

from app.domain.errors import BadValue
from app.domain.plan import area, parse_points, typed_points

MARKS = {"P1": (0.0, 0.0), "P2": (20.0, 0.0), "P3": (20.0, 10.0), "P4": (0.0, 10.0), "Old oak": (25.0, 5.0), "P9": None}


@pytest.mark.parametrize("typed", ["P1 P2 P3 P4", "p1 / p2 / p3 / p4", "P1\nP2\nP3 P4", "0,0 / P2 P3 / 0,10"])
def test_outline_through_marks_is_typed_by_their_names(typed: str) -> None:
    assert area(parse_points(typed, marks=MARKS)) == pytest.approx(200)


@pytest.mark.parametrize("typed", ["P1 / P2 / arc P3 through Old oak / P4", "P1 P2 / arc P3 out 5 / P4"])
def test_arc_runs_through_a_mark(typed: str) -> None:
    # a half circle of 5 ft beside 20 x 10 ft
    assert area(parse_points(typed, marks=MARKS)) == pytest.approx(200 + 25 * pi / 2)


def test_points_on_marks_are_shown_by_their_names_and_read_the_same() -> None:
    outline = parse_points("P1 / P2 / arc P3 through Old oak / 0, 10.5", marks=MARKS)
    shown = typed_points(outline, marks=MARKS)
    assert shown == "P1 / P2 / arc P3 through Old oak / 0, 10.5"
    assert parse_points(shown, marks=MARKS) == outline
    assert typed_points(outline) == "0, 0 / 20, 0 / arc 20, 10 through 25, 5 / 0, 10.5"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("P1 P2 P9", "P9 has no place yet"),
        ("P1 P2 P7", "Point 1: “P1 P2 P7” is not a point"),
        ("P1 / P2 / P7", "or the name of a mark"),
        ("P1 P2 P3 / arc P9 out 2", "P9 has no place yet"),
    ],
)
def test_mark_that_is_unknown_or_has_no_place_is_said_with_its_name(typed: str, said: str) -> None:
    with pytest.raises(BadValue, match=said):
        parse_points(typed, marks=MARKS)


def test_without_marks_a_name_is_no_point() -> None:
    with pytest.raises(BadValue, match="is not a point") as wrong:
        parse_points("P1 / P2 / P3")
    assert "mark" not in wrong.value.sentence
