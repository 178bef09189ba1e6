"""Money is rounded once and shared without losing a cent."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.money import cents, cost, share

WEIGHTS = st.lists(st.one_of(st.just(0.0), st.floats(0, 1e6), st.integers(0, 1000)), min_size=1, max_size=30)


@pytest.mark.parametrize(
    ("amount", "expected"),
    [
        (0, 0),
        (0.004, 0),
        (0.005, 1),
        (0.00499, 0),
        (0.0049999999, 1),  # within a millionth of a cent of the half
        (0.005 - 0.8e-8, 1),
        (0.005 - 1.2e-8, 0),
        (Fraction(1, 200) - Fraction(8, 10**9), 1),
        (Fraction(1, 200) - Fraction(12, 10**9), 0),
        (1.005, 101),  # 1.00499999… as a float
        (-1.005, -101),
        (-0.004, 0),
        (2.675, 268),
        (Decimal("0.005"), 1),
        (Decimal("0.00499"), 0),
        (Fraction(1, 200), 1),
        (Fraction(-1, 200), -1),
        (Fraction(1, 3), 33),
        (12345678, 1234567800),
    ],
)
def test_cents_at_the_half_rounds_away_from_zero(amount, expected):
    assert cents(amount) == expected


@given(st.integers(-(10**10), 10**10))
@settings(max_examples=60)
def test_cents_of_whole_cents_as_float_gives_them_back(whole):
    assert cents(whole / 100) == whole == cents(Decimal(whole) / 100) == cents(Fraction(whole, 100))


@pytest.mark.parametrize("amount", [math.inf, -math.inf, math.nan])
def test_cents_of_no_number_is_refused(amount):
    with pytest.raises(BadValue):
        cents(amount)
    with pytest.raises(BadValue):
        cost(amount, Decimal(1))


@given(st.integers(0, 10**7), st.integers(0, 10**7))
@settings(max_examples=100)
def test_cost_of_thousandths_equals_the_exact_product(thousandths, ten_thousandths):
    exact = Fraction(thousandths, 1000) * Fraction(ten_thousandths, 10_000)
    expected = math.floor(exact * 100 + Fraction(1, 2))
    assert cost(thousandths / 1000, Decimal(ten_thousandths) / 10_000) == expected


def test_cost_of_a_credit_is_negative():
    assert cost(-2.5, Decimal("0.0325")) == -8
    assert cost(2.5, Decimal("-0.0325")) == -8


def test_cost_with_price_finer_than_a_ten_thousandth_is_refused():
    assert cost(1.0, Decimal("0.0050")) == 1
    for price in ("0.00501", "Infinity", "NaN"):
        with pytest.raises(BadValue, match="four decimals"):
            cost(1.0, Decimal(price))


@given(st.integers(-(10**9), 10**9), WEIGHTS)
@settings(max_examples=100)
def test_share_adds_up_exactly_and_stays_within_a_cent_of_the_exact_share(total, weights):
    parts = share(total, weights)
    exact = [Fraction(weight) for weight in weights] if any(weights) else [Fraction(1)] * len(weights)
    assert sum(parts) == total
    for part, weight in zip(parts, exact, strict=True):
        assert abs(part - total * weight / sum(exact)) < 1
        assert part * total >= 0
        if weight == 0:
            assert part == 0


@given(st.integers(-(10**6), 10**6), WEIGHTS, st.randoms(use_true_random=False))
@settings(max_examples=60)
def test_share_in_any_order_gives_equal_weights_the_same_to_a_cent(total, weights, chance):
    shuffled = list(weights)
    chance.shuffle(shuffled)
    for order in (weights, shuffled):
        parts = share(total, order)
        by_weight = {}
        for weight, part in zip(order, parts, strict=True):
            by_weight.setdefault(float(weight), []).append(part)
        assert all(max(same) - min(same) <= 1 for same in by_weight.values())


@given(st.integers(-(10**6), 10**6), st.lists(st.integers(1, 10**6), min_size=1, max_size=20, unique=True))
@settings(max_examples=60)
def test_share_among_different_remainders_does_not_depend_on_order(total, weights):
    remainders = [abs(total) * weight % sum(weights) for weight in weights]
    backward = tuple(reversed(share(total, weights[::-1])))
    if len(set(remainders)) == len(weights):
        assert share(total, weights) == backward
    assert all(abs(a - b) <= 1 for a, b in zip(share(total, weights), backward, strict=True))


@pytest.mark.parametrize(
    ("total", "weights", "expected"),
    [
        (100, [1, 1, 1], (34, 33, 33)),
        (2, [1, 1, 1], (1, 1, 0)),
        (-100, [1, 1, 1], (-34, -33, -33)),
        (5, [0, 0], (3, 2)),
        (1, [0.1, 0.2, 0.7], (0, 0, 1)),
        (10, [0, 5, 0], (0, 10, 0)),
        (0, [], ()),
        (0, [1, 2], (0, 0)),
        (7, [1e-300, 1e300], (0, 7)),
    ],
)
def test_share_by_largest_remainder_with_ties_by_position(total, weights, expected):
    assert share(total, weights) == expected


@pytest.mark.parametrize(("total", "weights"), [(1, []), (1, [-1, 2]), (1, [math.inf]), (1, [math.nan, 1])])
def test_share_without_usable_weights_is_refused(total, weights):
    with pytest.raises(BadValue):
        share(total, weights)


@given(st.fractions(max_denominator=10**9))
def test_cents_of_a_fraction_are_the_nearest_whole_ones(amount: Fraction) -> None:
    """Held against exact fractions: half a cent, and what lies a millionth below it, goes away from zero."""
    exact = abs(amount) * 100 + Fraction(1, 2) + Fraction(1e-6)
    assert cents(amount) == math.copysign(1, amount) * math.floor(exact)
