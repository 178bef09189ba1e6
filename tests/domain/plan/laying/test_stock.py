"""Lines cut from stock lengths, against hand cutting, the best plan by trying all, and the bound of first fit."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan.laying.counters import Leg, Top, counter_top
from app.domain.plan.laying.stock import from_stock


def test_edging_of_three_stretches_is_cut_by_hand() -> None:
    # 12, 6 and 25 ft of 10 ft pieces: 1 + 2 whole; rests 2, 6, 5: 6 with 2, and 5
    plan = from_stock([12, 6, 25], 10)
    assert (plan.lengths, plan.couplings, plan.cuts, plan.left) == (5, 3, 3, 7)


def test_exact_lengths_have_no_cuts_and_nothing_left() -> None:
    plan = from_stock([30, 10], 10)
    assert (plan.lengths, plan.couplings, plan.cuts, plan.left, plan.least) == (4, 2, 0, 0, 4)


def test_the_saw_takes_its_kerf() -> None:
    assert from_stock([5, 5], 10).lengths == 1
    assert from_stock([5, 5], 10, kerf=1 / 8 / 12).lengths == 2


def test_nothing_needs_nothing_and_a_stock_of_nothing_is_refused() -> None:
    assert from_stock([], 10).lengths == 0
    assert from_stock([0.0], 10).least == 0
    with pytest.raises(BadValue, match="sold in"):
        from_stock([5], 0)


def best(pieces: list[int], stock: int) -> int:
    """The fewest stock lengths, found by trying every way to put the pieces into lengths."""
    for count in range(1, len(pieces) + 1):
        for places in product(range(count), repeat=len(pieces)):
            loads = [sum(p for p, at in zip(pieces, places, strict=True) if at == bar) for bar in range(count)]
            if max(loads) <= stock:
                return count
    return 0


@given(pieces=st.lists(st.integers(1, 10), min_size=1, max_size=5))
@settings(max_examples=60)
def test_first_fit_stays_within_its_bound_of_the_best(pieces: list[int]) -> None:
    # Dósa, The tight bound of first fit decreasing bin-packing, 2007: 11/9 of the best and 6/9
    plan, fewest = from_stock([float(one) for one in pieces], 10.0), best(pieces, 10)
    assert plan.least <= fewest <= plan.lengths <= 11 / 9 * fewest + 6 / 9


@given(stretches=st.lists(st.floats(0.5, 90), min_size=1, max_size=12), more=st.floats(0, 30))
@settings(max_examples=60)
def test_order_never_matters_and_a_longer_line_never_takes_less_in_all(stretches: list[float], more: float) -> None:
    plan = from_stock(stretches, 10)
    assert from_stock(stretches[::-1], 10) == plan
    assert plan.left >= -1e-6
    assert from_stock([*stretches, more], 10).least >= plan.least


def test_a_counter_is_area_joints_and_finished_edge() -> None:
    # 8 ft by 30 in with 1 1/2 in over front and ends: 8 ft 3 in by 2 ft 7 1/2 in, one slab of 9 ft
    assert counter_top([Leg(length=8, depth=2.5)], 9, front=0.125, ends=0.125) == Top(8.25 * 2.625, 1, 0, 13.5)
    # 12 ft needs a joint; a leg around the corner one more
    assert counter_top([Leg(length=12, depth=2)], 9).joints == 1
    corner = counter_top([Leg(length=12, depth=2), Leg(length=4, depth=2)], 9)
    assert (corner.slabs, corner.joints, corner.area) == (3, 2, 32)


def test_a_counter_of_nothing_is_refused() -> None:
    for legs, slab in (([], 9.0), ([Leg(length=0, depth=2)], 9.0), ([Leg(length=4, depth=2)], 0.0)):
        with pytest.raises(BadValue, match="length and a depth"):
            counter_top(legs, slab)
