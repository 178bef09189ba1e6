"""Sharing in columns gives the cents that sharing one by one gives."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.costing.sharing import shared
from app.domain.money import share

WEIGHTS = st.lists(st.integers(0, 10**9), min_size=1, max_size=30).filter(any)


@settings(max_examples=100)
@given(st.integers(-(10**9), 10**9), WEIGHTS)
def test_columns_share_the_same_cents_as_one_by_one(total, weights):
    assert tuple(shared(total, np.array(weights)).tolist()) == share(total, weights)


@pytest.mark.parametrize("total", [1, -1, 2])
def test_least_amounts_are_shared_as_one_by_one(total):
    assert tuple(shared(total, np.array([1, 3, 1])).tolist()) == share(total, [1, 3, 1])


@pytest.mark.parametrize("total", [3 * 10**9, 5 * 10**9])
def test_amounts_about_what_sixty_four_bits_hold_are_shared_exactly(total):
    # 3 × 10^9 × 3 × 10^9 = 9.0 × 10^18 is below 2^63 = 9.22 × 10^18; 5 × 3 × 10^18 is above it and below 2^64
    weights = [3 * 10**9, 10**9 + 1, 7]
    assert tuple(shared(total, np.array(weights)).tolist()) == share(total, weights)


def test_many_great_weights_are_shared_exactly_whatever_the_total():
    # the sum of the weights is beyond 64 bits, though no weight times the total is
    weights = [2 * 10**18] * 6
    assert tuple(shared(3, np.array(weights)).tolist()) == share(3, weights) == (1, 1, 1, 0, 0, 0)


def test_amounts_too_large_for_columns_are_shared_exactly():
    weights = [10**15, 10**15 - 1, 3]
    assert tuple(shared(10**13, np.array(weights)).tolist()) == share(10**13, weights)


def test_no_weight_and_no_total_give_nobody_anything():
    assert shared(0, np.array([1, 2])).tolist() == [0, 0]
    assert shared(5, np.array([0, 0])).tolist() == [0, 0]
    assert shared(5, np.array([], dtype=np.int64)).tolist() == []
