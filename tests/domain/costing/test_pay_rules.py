"""How the firm is paid: its rules in words, beside payments that stay what they are."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.basis import Firm
from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import estimate
from app.domain.costing.explain_backwards import explain_left
from app.domain.costing.pay_rules import (
    a_year,
    card_fee_cents,
    card_fees_cents,
    early_discount_cents,
    pay_points,
    pay_words,
)
from app.domain.costing.payments import Due, schedule
from app.domain.proposal import proposal
from app.services.proposals import covered
from tests.domain.costing.three_zones import BASIS, JOB, firm_with
from tests.domain.test_proposal import ON

RULES = {
    "card_rule": "passed on",
    "card_fee": Decimal("0.03"),
    "early_pay": Decimal("0.02"),
    "late_charge": Decimal("0.015"),
}
DUE = (Due(event="signed", phase="", cents=1_000_50), Due(event="built", phase="", cents=4_000_50, paid=1_000_00))


def test_words_tell_each_rule_with_its_numbers():
    # 1,000.50 × 3 % = 30.015 → 30.02; (4,000.50 − 1,000.00) × 3 % = 90.015 → 90.02; 1.5 % × 12 = 18 %
    assert pay_words(Firm(**RULES), DUE) == (
        "A payment made by card has 3% added for the card: $120.04 if all of them are. By check or transfer nothing is added.",
        "2% comes off a payment that is paid within 10 days of its invoice.",
        "What is unpaid 30 days after it is due bears 1.5% a month (18% a year), stated apart from the price.",
    )
    assert a_year(Firm(**RULES)) == Decimal("0.18")


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("", ()),
        ("absorbed", ("A card may be used; nothing is added for it.",)),
        ("not taken", ("Cards are not taken.",)),
    ],
)
def test_rule_that_adds_nothing_says_no_number(rule, said):
    assert pay_words(Firm(card_rule=rule, card_fee=Decimal("0.03")), DUE) == said
    assert pay_words(Firm(card_rule="passed on"), DUE) == ()


def test_shares_are_printed_as_they_are_asked_for():
    fine = Firm(
        card_rule="passed on", card_fee=Decimal("0.0295"), early_pay=Decimal("0.0125"), late_charge=Decimal("0.01375")
    )
    words = " ".join(pay_words(fine, DUE))
    for said in ("2.95% added", "1.25% comes off", "1.375% a month (16.5% a year)"):
        assert said in words


@given(st.integers(0, 10**9), st.decimals(0, "0.1", places=4))
def test_fee_and_discount_never_take_more_than_there_is(amount, share):
    firm = Firm(card_fee=share, early_pay=share)
    assert 0 <= card_fee_cents(amount, firm) <= amount
    assert card_fee_cents(amount, firm) == early_discount_cents(amount, firm)


def test_payments_and_contract_sum_stay_what_they_are():
    basis = firm_with(**RULES)
    plain, ruled = estimate(JOB, BASIS), estimate(JOB, basis)
    assert plain.price_cents == ruled.price_cents
    due = schedule(JOB, basis.firm, client_prices(JOB, ruled))
    assert due == schedule(JOB, BASIS.firm, client_prices(JOB, plain))
    made = proposal(JOB, basis, ruled, number=1, made_on=ON, cautions={})
    assert made.pay_words == pay_words(basis.firm, due)
    told = f"{card_fees_cents(due, basis.firm) / 100:,.2f}".removesuffix(".00")
    assert told in made.pay_words[0]
    assert covered(made).pay_words == ()
    assert proposal(JOB, BASIS, plain, number=1, made_on=ON, cautions={}).pay_words == ()


def test_limited_rule_is_an_open_point_until_somebody_is_named():
    assert [one.measured for one in pay_points(Firm(**RULES))] == ["a fee for cards, a late charge"]
    assert pay_points(Firm(**RULES, pay_checked="State consumer office, March 2")) == ()
    assert pay_points(Firm(card_rule="absorbed", early_pay=Decimal("0.02"))) == ()


def test_what_a_card_on_our_account_leaves_opens():
    basis = firm_with(card_rule="absorbed", card_fee=Decimal("0.03"))
    worked = estimate(JOB, basis)
    # profit 1,495.76 + 0.28 rounding; 12,472.00 × 3 % = 374.16
    trace = explain_left(JOB, basis, worked, f"left:{worked.price_cents}:card")
    assert (trace.result, trace.filled) == (1_121.88, "1,496.04 − 374.16")
