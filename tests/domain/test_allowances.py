"""Allowances settle as they are printed: what goes beyond is added (with the agreed markup), what is saved comes off.

The sum follows the usual clause on allowances in building contracts: the contract sum is adjusted by the difference
between what was set aside and what it costs (AIA A201, General Conditions, section 3.8; from memory).
"""

from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.allowances import true_up_rule, trued_up_cents
from app.domain.job import Allowance, Covers


def allowance(cents: int = 1_000_00, **fields: object) -> Allowance:
    return Allowance(id=UUID(int=1), title="Stone", cents=cents, **fields)


@pytest.mark.parametrize(
    ("markup", "actual", "added"),
    [
        ("0", 1_240_00, 240_00),
        ("0.15", 1_240_00, 276_00),  # 240 × 1.15
        ("0.15", 1_000_00, 0),
        ("0.15", 760_00, -240_00),  # what is saved comes off in full
        ("0.125", 1_000_04, 5),  # 4.5 cents, half up
    ],
)
def test_difference_is_what_it_costs_beyond_with_its_markup_or_what_is_saved(
    markup: str, actual: int, added: int
) -> None:
    assert trued_up_cents(allowance(markup=Decimal(markup)), actual) == added


@given(st.integers(0, 10**8), st.integers(0, 10**8), st.decimals(0, 1, places=4))
def test_whoever_pays_more_than_set_aside_never_pays_less_in_all(aside: int, actual: int, markup: Decimal) -> None:
    one = allowance(aside, markup=markup)
    assert aside + trued_up_cents(one, actual) >= actual
    assert trued_up_cents(one, actual + 1) >= trued_up_cents(one, actual)


def test_rule_says_what_it_pays_for_how_it_settles_and_by_when() -> None:
    plain = true_up_rule(allowance())
    assert "bought, brought and put in place" in plain
    assert "added or taken off" in plain
    told = true_up_rule(allowance(covers=Covers.BOUGHT, markup=Decimal("0.15"), choose_by=date(2027, 5, 3)))
    assert "putting it in place is in the price" in told
    assert "added with 15% on that part" in told
    assert "comes off in full" in told
    assert told.endswith("To be chosen by May 3, 2027.")
    assert true_up_rule() == plain
