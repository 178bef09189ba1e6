"""Distances and overlap, checked by geometry."""

from math import pi

import pytest

from app.domain.plan import circle, rectangle
from app.domain.plan.between import apart, contains, crosses, from_line, from_point, overlap, to_edge


def test_distance_to_an_arc_is_to_the_arc() -> None:
    assert from_point(circle(5, at=(0, 0)), (12, 0)) == pytest.approx(7, abs=1 / 64 / 12)


def test_outlines_that_touch_are_not_apart() -> None:
    assert apart(rectangle(5, 5), rectangle(5, 5, at=(5, 0))) == 0
    assert apart(rectangle(5, 5), rectangle(5, 5, at=(8, 9))) == 5


def test_overlap_of_a_circle_and_its_half_is_half() -> None:
    assert overlap(circle(4, at=(0, 0)), rectangle(8, 4, at=(-4, 0))) == pytest.approx(8 * pi, rel=1e-3)


def test_lines_cross_only_what_they_cross() -> None:
    assert crosses([(0, -5), (0, 5)], rectangle(4, 2, at=(-2, -1))) == 2
    assert crosses([(9, -5), (9, 5)], rectangle(4, 2, at=(-2, -1))) == 0


def test_points_in_and_out() -> None:
    assert contains(rectangle(4, 4), (2, 2))
    assert not contains(rectangle(4, 4), (5, 2))
    assert to_edge(rectangle(4, 4), (1, 2)) == 1
    assert from_line([(0, 0), (0, 9)], (3, 4)) == 3
