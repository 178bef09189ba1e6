"""Sharing in columns gives the cents that sharing one by one gives."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.costing.sharing import shared
from app.domain.money import share

WEIGHTS = st.lists(st.integers(0, 10**9), min_size=1, max_size=30).filter(any)


@settings(max_examples=100)
@given(st.integers(-(10**9), 10**9), WEIGHTS)
def test_columns_share_the_same_cents_as_one_by_one(total, weights):
    assert tuple(shared(total, np.array(weights)).tolist()) == share(total, weights)


def test_amounts_too_large_for_columns_are_shared_exactly():
    weights = [10**15, 10**15 - 1, 3]
    assert tuple(shared(10**13, np.array(weights)).tolist()) == share(10**13, weights)


def test_no_weight_and_no_total_give_nobody_anything():
    assert shared(0, np.array([1, 2])).tolist() == [0, 0]
    assert shared(5, np.array([0, 0])).tolist() == [0, 0]
    assert shared(5, np.array([], dtype=np.int64)).tolist() == []
