"""Surfaces of spot levels against planes and closed forms."""

import random
from dataclasses import dataclass
from itertools import combinations
from math import hypot, pi, tau

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

from app.domain.plan.levels import finish_level
from app.domain.plan.measures import area, moved, turned, turning
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import circle, l_shape, rectangle
from app.domain.plan.surface import contours, cut_and_fill, ground_fall, low_points, plane_of, surface_of


def plane(x: float, y: float) -> float:
    """2 ft at the datum, falling 3% east and rising 1% north."""
    return 2.0 - 0.03 * x + 0.01 * y


def spots(count: int = 30, seed: int = 1, level=plane) -> list[tuple[float, float, float]]:
    chance = random.Random(seed)
    corners = [(-20, -20), (40, -20), (40, 40), (-20, 40)]
    inner = [(chance.uniform(-19, 39), chance.uniform(-19, 39)) for _ in range(count)]
    return [(x, y, level(x, y)) for x, y in (*corners, *inner)]


@pytest.mark.parametrize("outline", [rectangle(20, 12), circle(6, at=(8, 8)), l_shape(20, 16, 8, 6)])
def test_ground_that_is_a_plane_has_its_fall_and_nothing_is_off(outline: Outline) -> None:
    found = ground_fall(surface_of(spots()), outline)
    assert found is not None
    assert found.fall == pytest.approx(hypot(0.03, 0.01))
    # downhill runs east and a little south: 108.4 degrees clockwise from the top, by hand
    assert found.bearing == pytest.approx(108.4349, abs=1e-3)
    assert found.off == pytest.approx(0, abs=1e-9)
    assert found.covered == pytest.approx(1)
    assert found.level == pytest.approx(plane(*found.at))


@settings(max_examples=60)
@given(x=st.floats(-19.9, 39.9), y=st.floats(-19.9, 39.9))
def test_level_at_a_point_of_a_plane_is_the_plane(x: float, y: float) -> None:
    assert surface_of(spots()).level((x, y)) == pytest.approx(plane(x, y), abs=1e-9)


def test_level_at_a_spot_is_its_own() -> None:
    rough = spots(level=lambda x, y: (x * 7.3 + y * 3.1) % 1.7)
    surface = surface_of(rough)
    for x, y, z in rough:
        assert surface.level((x, y)) == pytest.approx(z, abs=1e-6)


def test_beyond_the_spots_nothing_is_told() -> None:
    surface = surface_of([(0, 0, 1), (10, 0, 1), (0, 10, 2)])
    assert surface.level((9, 9)) is None
    assert surface.level((2, 2)) == pytest.approx(1.2)
    assert ground_fall(surface, rectangle(40, 40)) is None


@pytest.mark.parametrize("row", [[], [(0, 0, 1)], [(0, 0, 1), (5, 0, 1)], [(0, 0, 1), (5, 5, 2), (9, 9, 3)]])
def test_spots_in_a_line_make_no_surface(row: list[tuple[float, float, float]]) -> None:
    surface = surface_of(row)
    assert surface.triangles == ()
    assert surface.level((0, 0)) is None
    assert plane_of(row) is None
    assert ground_fall(surface, rectangle(2, 2)) is None


def test_two_spots_at_one_place_count_by_their_mean() -> None:
    surface = surface_of([(0, 0, 1.0), (0, 0, 1.2), (10, 0, 1), (0, 10, 1)])
    assert surface.level((0, 0)) == pytest.approx(1.1)


def test_order_of_spots_changes_nothing() -> None:
    some = spots(level=lambda x, y: (x * 7.3 + y * 3.1) % 1.7)
    mixed = random.Random(2).sample(some, len(some))
    assert surface_of(mixed) == surface_of(some)


@settings(max_examples=40)
@given(turn=st.floats(0, 360), east=st.floats(-300, 300), north=st.floats(-300, 300))
def test_moving_and_turning_the_whole_turns_only_the_bearing(turn: float, east: float, north: float) -> None:
    there = turning(turn, (0.0, 0.0))
    placed = []
    for x, y, z in spots():
        px, py = there((x, y))
        placed.append((px + east, py + north, z))
    found = ground_fall(surface_of(placed), moved(turned(rectangle(20, 12), turn), east, north))
    assert found is not None
    assert found.fall == pytest.approx(hypot(0.03, 0.01), rel=1e-6)
    off = (found.bearing - (108.4349488 - turn) + 180) % 360 - 180
    assert off == pytest.approx(0, abs=1e-4)


def test_rough_ground_says_how_far_it_lies_off_its_plane() -> None:
    ridge = [(0, 0, 0.0), (20, 0, 0.0), (0, 12, 0.0), (20, 12, 0.0), (10, 6, 1.0)]
    found = ground_fall(surface_of(ridge), rectangle(20, 12))
    assert found is not None
    # a pyramid: its mean is a third of its height, so the peak lies two thirds above the level plane of best fit
    assert (found.level, found.fall, found.off) == pytest.approx((1 / 3, 0.0, 2 / 3))


def test_more_spots_on_one_face_of_the_ground_do_not_pull_its_plane() -> None:
    # a ridge along the middle: 1 ft up over 10 ft, and down again; four more spots on the left face change no ground
    ridge = [(x, y, 1 - abs(x - 10) / 10) for x in (0, 10, 20) for y in (0, 12)]
    more = [(x, y, x / 10) for x, y in ((2, 3), (3, 8), (5, 2), (4, 5))]
    plain, crowded = (ground_fall(surface_of(some), rectangle(20, 12)) for some in (ridge, ridge + more))
    assert plain is not None
    assert crowded is not None
    assert (plain.level, plain.fall) == pytest.approx((0.5, 0.0), abs=1e-9)
    assert (crowded.level, crowded.fall) == pytest.approx((0.5, 0.0), abs=1e-9)


@dataclass(frozen=True)
class Way:
    outline: Outline
    level: float
    level_at: tuple[float, float] | None = None
    fall: float | None = None
    fall_bearing: float | None = None


def test_cut_of_ground_above_a_level_finish_is_area_times_depth() -> None:
    way = Way(rectangle(20, 12), level=1.0)
    flat = surface_of(spots(level=lambda _x, _y: 1.5))
    found = cut_and_fill(flat, lambda p: finish_level(way, p), way.outline)
    assert (found.cut, found.fill, found.covered) == pytest.approx((120.0, 0.0, 240.0))


def test_cut_and_fill_of_a_slope_are_wedges() -> None:
    # ground falls 5% across 20 ft through the finish in the middle: two wedges of 10 ft, 6 in deep at the end
    slope = surface_of(spots(level=lambda x, _y: 0.05 * (10 - x)))
    way = Way(rectangle(20, 12), level=0.0)
    found = cut_and_fill(slope, lambda p: finish_level(way, p), way.outline)
    assert (found.cut, found.fill) == pytest.approx((10 * 0.5 / 2 * 12, 10 * 0.5 / 2 * 12))


def test_cut_and_fill_differ_by_the_whole_whatever_the_shape() -> None:
    way = Way(circle(9, at=(10, 10)), level=1.7, fall=0.02, fall_bearing=200)
    found = cut_and_fill(surface_of(spots(80)), lambda p: finish_level(way, p), way.outline)
    # planes on both sides: the difference is the area times the depth at the center
    assert found.cut - found.fill == pytest.approx(81 * pi * (plane(10, 10) - 1.7), rel=2e-3)
    assert found.covered == pytest.approx(area(way.outline), rel=2e-3)


def test_unknown_finish_moves_no_earth() -> None:
    found = cut_and_fill(surface_of(spots()), lambda _p: None, rectangle(20, 12))
    assert (found.cut, found.fill) == (0, 0)


def test_contours_of_a_plane_are_straight_and_evenly_apart() -> None:
    slope = surface_of(spots(level=lambda x, _y: 0.1 * x))
    lines = list(contours(slope, 0.5))
    assert {round(level, 6) for level, _ in lines} == {round(-2 + 0.5 * n, 6) for n in range(1, 13)}
    for level, ends in lines:
        for x, _ in ends:
            assert x == pytest.approx(level / 0.1, abs=1e-9)
    long = sum(hypot(b[0] - a[0], b[1] - a[1]) for level, (a, b) in lines if level == 0.5)
    assert long == pytest.approx(60)


def test_contours_of_a_cone_run_around_it() -> None:
    ring = [(10 * c, 10 * s, 0.0) for c, s in _circle(24)]
    cone = surface_of([*ring, (0, 0, 2.0)])
    long = sum(hypot(b[0] - a[0], b[1] - a[1]) for level, (a, b) in contours(cone, 1.0) if level == 1.0)
    assert long == pytest.approx(tau * 5, rel=0.01)
    assert list(contours(surface_of([]), 1.0)) == []


def _circle(count: int) -> list[tuple[float, float]]:
    turn = turning(360 / count, (0.0, 0.0))
    points = [(1.0, 0.0)]
    while len(points) < count:
        points.append(turn(points[-1]))
    return points


def test_hollows_fill_to_the_lowest_way_out_that_a_spanning_tree_finds():
    # reference: the highest spot on the way of a minimum spanning tree (scipy) from a spot to the edge of the ground,
    # each side of a triangle as high as the higher of its ends; that is the lowest way out there is
    drawn = np.random.default_rng(12)
    spots = [(float(x), float(y), float(z)) for x, y, z in drawn.uniform(0, (80, 60, 3), (70, 3))]
    surface = surface_of(spots)
    index = {spot: at for at, spot in enumerate(surface.spots)}
    outside, count = len(index), len(index) + 1
    sides: dict[tuple[int, int], int] = {}
    for triangle in surface.triangles:
        for one, other in combinations(sorted(index[spot] for spot in triangle.corners), 2):
            sides[one, other] = sides.get((one, other), 0) + 1
    heights = [spot[2] for spot in surface.spots]
    matrix = np.zeros((count, count))
    for (one, other), triangles in sides.items():
        matrix[one, other] = max(heights[one], heights[other])
        if triangles == 1:
            matrix[one, outside], matrix[other, outside] = heights[one], heights[other]
    tree = minimum_spanning_tree(matrix)
    _, before = breadth_first_order(tree, outside, directed=False)
    weights = tree.toarray() + tree.toarray().T

    def way_out(at: int) -> float:
        return 0.0 if at == outside else max(weights[at, before[at]], way_out(int(before[at])))

    deep = {spot[:2]: way_out(at) - spot[2] for spot, at in index.items()}
    found = low_points(surface)
    assert len(found) > 3
    for one in found:
        assert one.depth == pytest.approx(deep[one.at])
    assert found[0].depth == pytest.approx(max(deep.values()))
    assert low_points(surface_of([(x, y, 0.02 * x) for x, y, _ in spots])) == ()
