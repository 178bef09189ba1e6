"""Convex parts add up to their outline; walls along a line meet in miters and keep their thickness."""

from itertools import pairwise
from math import hypot

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from app.domain.plan import area, rectangle
from app.domain.plan.outline import Outline
from app.domain.seen.bodies import along, box_around, crown, ring_around, spread_out
from app.domain.seen.convex import convex_parts, polygon_of
from app.domain.seen.shapes import feet_of
from app.domain.seen.solids import is_convex

ELL = Outline("CURVEPOLYGON ((0 0, 20 0, 20 8, 8 8, 8 20, 0 20, 0 0))")
HOLE = Outline("CURVEPOLYGON ((0 0, 20 0, 20 20, 0 20, 0 0), (5 5, 5 15, 15 15, 15 5, 5 5))")


@pytest.mark.parametrize("outline", [ELL, HOLE, rectangle(10, 6)])
def test_parts_are_convex_and_add_up(outline: Outline) -> None:
    parts = convex_parts(outline)
    assert all(is_convex(part.points) for part in parts)
    assert sum(polygon_of(part.points).area for part in parts) == pytest.approx(area(outline), rel=1e-6)
    whole = shapely.union_all([polygon_of(part.points) for part in parts])
    assert whole.area == pytest.approx(area(outline), rel=1e-6)


def test_a_convex_outline_stays_whole_and_seams_are_told_from_edges() -> None:
    assert [part.drawn for part in convex_parts(rectangle(10, 6))] == [(True,) * 4]
    parts = convex_parts(ELL)
    assert 2 <= len(parts) <= 3
    edges = sum(
        hypot(b[0] - a[0], b[1] - a[1])
        for part in parts
        for (a, b), drawn in zip(pairwise((*part.points, part.points[0])), part.drawn, strict=True)
        if drawn
    )
    assert edges == pytest.approx(80.0)  # the outline once: 20 + 8 + 12 + 12 + 8 + 20


def test_a_bent_wall_keeps_its_area_along_both_legs() -> None:
    bases = [base for base, _ in along([(0, 0), (10, 0), (10, 10)], 1.0)]
    assert sum(polygon_of(base).area for base in bases) == pytest.approx(20.0)
    assert polygon_of(bases[0]).intersection(polygon_of(bases[1])).area == pytest.approx(0.0, abs=1e-9)
    assert all(is_convex(base) for base in bases)


def test_a_closed_line_has_no_ends_and_points_that_fall_together_are_one() -> None:
    closed = list(along([(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)], 1.0))
    assert all(ends == (True, False, True, False) for _, ends in closed)
    assert sum(polygon_of(base).area for base, _ in closed) == pytest.approx(16.0)
    assert list(along([(1, 1), (1, 1)], 1.0)) == []


@given(st.floats(1, 60), st.floats(0.5, 40))
def test_posts_are_even_and_never_too_far_apart(long: float, every: float) -> None:
    posts = spread_out([(0.0, 0.0), (long, 0.0)], every)
    gaps = [b[0] - a[0] for a, b in pairwise(posts)]
    assert max(gaps) <= every + 1e-6
    assert max(gaps) == pytest.approx(min(gaps))
    assert (posts[0][0], posts[-1][0]) == pytest.approx((0.0, long))


def test_rings_and_boxes_turn_left() -> None:
    assert is_convex(ring_around((3.0, 4.0), 2.0))
    assert is_convex(box_around((3.0, 4.0), 6.0, 2.0, 1.1))
    assert polygon_of(box_around((0, 0), 6.0, 2.0, 0.7)).area == pytest.approx(12.0)


@pytest.mark.parametrize(("high", "trunk"), [(7.0, False), (7.1, True)])
def test_only_tall_plants_show_a_trunk(high: float, trunk: bool) -> None:
    assert any(one.key.endswith(":trunk") for one in crown("tree", (0.0, 0.0), 1.0, (high, 4.0), "#808080")) is trunk


def test_lengths_are_figures_or_sums_of_parameters() -> None:
    assert feet_of(1.5, {}) == 1.5
    assert feet_of(("a", "b"), {"a": 1.0, "b": 2.0}) == 3.0
    assert feet_of(("a", "b"), {"a": 1.0}) is None
    assert feet_of((), {}) is None
