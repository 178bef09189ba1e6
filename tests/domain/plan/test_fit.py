"""What two outlines cover both, and narrow strips that lie between them."""

from math import pi
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.plan import circle, fit, from_points, moved, rectangle, turned
from app.domain.plan.fit import overlaps, strips

INCH = 1 / 12


def test_two_rectangles_overlap_by_the_product_of_their_common_sides():
    (found,) = overlaps({"A": rectangle(20, 12), "B": rectangle(10, 4, at=(18, 5))})
    assert (found.one, found.other, found.area, found.within) == ("A", "B", pytest.approx(8), False)
    assert 18 < found.at[0] < 20
    assert 5 < found.at[1] < 9


@pytest.mark.parametrize(("deep", "told"), [(2 * INCH - 1e-6, 0), (2 * INCH + 1e-3, 1)])
def test_overlap_no_deeper_than_the_gap_is_drawing_noise(deep, told):
    assert len(overlaps({"A": rectangle(20, 12), "B": rectangle(10, 12, at=(20 - deep, 0))})) == told


def test_zone_within_another_is_told_first_with_its_whole_area():
    (found,) = overlaps({"patio": rectangle(20, 12), "pit": circle(2, at=(9, 6)), "zoo": rectangle(5, 5, at=(40, 0))})
    assert (found.one, found.other, found.within) == ("pit", "patio", True)
    assert found.area == pytest.approx(4 * pi, rel=0.01)  # chords lie within 1/8 in of the arc
    assert overlaps({"pit": rectangle(20, 12), "patio": circle(2, at=(9, 6))})[0].one == "patio"


def test_zone_in_a_hole_of_another_overlaps_nothing():
    ring = from_points([(0, 0), (20, 0), (20, 12), (0, 12)])
    holed = type(ring)("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0), (5 3, 5 9, 15 9, 15 3, 5 3))")
    assert overlaps({"A": holed, "B": rectangle(10, 6, at=(5, 3))}) == ()


def test_twice_the_same_outline_overlaps_wholly():
    (found,) = overlaps({"A": rectangle(20, 12), "B": rectangle(20, 12)})
    assert (found.one, found.area, found.within) == ("A", pytest.approx(240), True)


def test_zone_in_the_house_is_told_from_the_zone():
    (found,) = overlaps({"A": rectangle(20, 12)}, house=rectangle(40, 30, at=(-5, 10)))
    assert (found.one, found.other, found.area) == ("A", "house", pytest.approx(40))
    (within,) = overlaps({"A": rectangle(60, 60, at=(-10, 0))}, house=rectangle(40, 30, at=(-5, 10)))
    assert (within.one, within.other, within.within) == ("A", "house", False)


@pytest.mark.parametrize(("apart", "told"), [(2, 0), (2.01, 1), (5, 1), (11.99, 1), (12.01, 0)])
def test_strip_is_told_between_the_gap_and_a_foot(apart, told):
    found = strips({"A": rectangle(20, 12), "B": rectangle(10, 6, at=(20 + apart * INCH, 3))})
    assert len(found) == told
    for one in found:
        assert (one.one, one.other) == ("A", "B")
        assert (one.width, one.most, one.length) == pytest.approx((apart * INCH, apart * INCH, 6))
        assert one.at == pytest.approx((20, 6))


def test_strip_that_widens_tells_mean_and_most():
    slanted = from_points([(0, 12.25), (20, 12.75), (20, 20), (0, 20)])
    (found,) = strips({"A": rectangle(20, 12), "B": slanted})
    assert (found.length, found.width) == pytest.approx((20, 0.5), abs=0.01)


def test_strip_along_the_house_is_told_and_one_shorter_than_a_foot_is_not():
    assert strips({"A": rectangle(20, 12)}, house=rectangle(40, 9, at=(-5, 12.5)))[0].other == "house"
    assert strips({"A": rectangle(20, 12), "B": rectangle(0.9, 9, at=(3, 12.5))}) == ()


def test_edges_that_overlap_or_touch_leave_no_strip():
    assert strips({"A": rectangle(20, 12), "B": rectangle(5, 12, at=(20, 0)), "C": rectangle(6, 6, at=(14.5, 3))}) == ()


@given(
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40), st.integers(3, 15), st.integers(3, 15)), max_size=5),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
    st.floats(0, 360),
)
@settings(max_examples=50, deadline=None)
def test_order_and_place_of_the_plan_change_no_overlap_and_no_strip(zones, by, degrees):
    # a third of a foot apart or more, so that nothing lies at the very limit of two inches or of a foot
    yard = {str(n): rectangle(w, d, at=(x / 3 + n * 0.013, y / 3 + n * 0.017)) for n, (x, y, w, d) in enumerate(zones)}
    placed = {key: turned(moved(one, *by), degrees) for key, one in reversed(yard.items())}
    here, there = overlaps(yard), overlaps(placed)
    assert [(o.one, o.other, o.within) for o in here] == [(o.one, o.other, o.within) for o in there]
    assert [o.area for o in here] == pytest.approx([o.area for o in there], abs=1e-6)
    told = {(s.one, s.other): s.width for s in strips(yard)}
    assert {(s.one, s.other): s.width for s in strips(placed)} == pytest.approx(told, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_strips_kept_while_outlines_are_edited_are_those_of_all_outlines_at_once(seed):
    any_of = Random(seed)
    drawn = {f"zone {n:02}": rectangle(9.5, 6.5, at=(10 * (n % 4), 7 * (n // 4))) for n in range(12)}
    house = rectangle(40, 20, at=(0, 21.4))
    several = 0
    for _ in range(25):
        name = any_of.choice(sorted(drawn))
        number = int(name[-2:])
        at = (10 * (number % 4) + any_of.choice([0, 0.2, -0.3]), 7 * (number // 4) + any_of.choice([0, 0.25]))
        drawn[name] = any_of.choice(
            [rectangle(any_of.choice([9.5, 9.9, 8]), any_of.choice([6.5, 7]), at=at), circle(4)]
        )
        gap = any_of.choice([2 * INCH, 4 * INCH])
        sides = [*((key, one.wkt) for key, one in sorted(drawn.items())), ("house", house.wkt)]
        at_once = fit._strips(sides, np.ones(len(sides), dtype=bool), gap, fit.WIDEST)
        assert list(strips(drawn, house=house, gap=gap)) == at_once
        several += len(at_once) > 3
    assert several
