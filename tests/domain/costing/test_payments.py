"""Payments: the firm's usual ones and those that were set, in whole money, adding up to the contract sum to the cent."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import estimate
from app.domain.costing.explain_payments import FEE, LEFT, explain_payment
from app.domain.costing.payments import schedule
from app.domain.errors import BadValue
from app.domain.job import Firmness, Payment, Phase
from tests.domain.costing.random_jobs import bases, jobs
from tests.domain.costing.three_zones import BASIS, FIRM, FIRST, JOB, SECOND, firm_with, key

CONTRACT = 12_472_00  # phase 1 10,668.00, phase 2 1,804.00: see test_client_prices.py


def due(job=JOB, firm=FIRM, basis=BASIS) -> list[tuple[str, str, int]]:
    made = schedule(job, firm, client_prices(job, estimate(job, basis)))
    return [(one.event, one.phase, one.cents) for one in made]


def with_fee(paid: int, counts: str = "yes"):
    return replace(JOB, head=replace(JOB.head, design_fee_paid_cents=paid, design_credit=counts))


def left(job) -> list[int]:
    return [one.left for one in schedule(job, FIRM, client_prices(job, estimate(job, BASIS)))]


def test_paid_design_fee_comes_off_the_earliest_payments_and_the_sum_stays():
    whole = [cents for *_, cents in USUAL_BY_HAND]
    assert due(with_fee(1_850_00)) == USUAL_BY_HAND  # what is due stays; 1,247 + 603 of it is paid
    assert left(with_fee(1_850_00)) == [0, 3_841_00 - 603_00, *whole[2:]]
    assert left(with_fee(0)) == whole
    assert left(with_fee(1_850_00, "no")) == whole
    assert sum(left(with_fee(2 * CONTRACT))) == 0  # never less than nothing


def test_paid_design_fee_counts_as_the_firm_has_it_where_the_job_says_nothing():
    assert FIRM.design_credit
    assert left(with_fee(500_00, "")) == left(with_fee(500_00))


def test_paid_design_fee_and_what_is_left_are_explained():
    job, prices = with_fee(1_850_00), client_prices(JOB, estimate(JOB, BASIS))
    fee, rest = (explain_payment(job, FIRM, prices, at) for at in (FEE, LEFT))
    assert fee is not None
    assert (fee.result, [one.result for one in fee.steps]) == (1_850, [1_247, 603])
    assert rest is not None
    assert rest.result == (CONTRACT - 1_850_00) / 100
    assert explain_payment(JOB, FIRM, prices, FEE) is None


def with_payments(*payments: Payment):
    return replace(JOB, payments=payments)


def pay(event: str, at: int = 0, **more) -> Payment:
    return Payment(id=key(700 + at), event=event, position=at, **more)


# A tenth of 12,472 in whole money: 1,247. The rest, 11,225, by phase 10,668 : 1,804 → 9,601 and 1,624, each by
# 40 : 35 : 25 → 3,840.40, 3,360.35, 2,400.25 and 649.60, 568.40, 406.00
USUAL_BY_HAND = [
    ("At signing", "", 1_247_00),
    ("Materials delivered", "Phase 1", 3_841_00),
    ("Base compacted and checked together", "Phase 1", 3_360_00),
    ("Finished and walked together", "Phase 1", 2_400_00),
    ("Materials delivered", "Phase 2", 650_00),
    ("Base compacted and checked together", "Phase 2", 568_00),
    ("Finished and walked together", "Phase 2", 406_00),
]


def test_usual_payments_by_hand():
    assert due() == USUAL_BY_HAND
    assert sum(cents for *_, cents in due()) == CONTRACT


def test_without_a_deposit_nothing_is_due_at_signing():
    made = due(firm=replace(FIRM, deposit_share=Decimal(0)))
    assert made[0][0] == "Materials delivered"
    assert sum(cents for *_, cents in made) == CONTRACT


def test_deposit_of_everything_is_no_more_than_everything():
    # 12,471.72 in whole money would be 12,472
    assert due(JOB, replace(FIRM, deposit_share=Decimal(1)), firm_with(round_to_cents=1)) == [
        ("At signing", "", 12_471_72)
    ]


def test_phase_outside_the_contract_has_no_payment_and_a_single_phase_no_name():
    ranged = replace(JOB, phases=(JOB.phases[0], replace(JOB.phases[1], firmness=Firmness.RANGE)))
    made = due(ranged)
    assert {phase for _, phase, _ in made} == {"", "Phase 1"}
    assert sum(cents for *_, cents in made) == 10_668_00
    one_phase = replace(JOB, phases=JOB.phases[:1], zones=tuple(replace(z, phase_id=FIRST) for z in JOB.zones))
    assert {phase for _, phase, _ in due(one_phase)} == {""}


def test_phase_with_nothing_in_it_has_no_payment():
    assert due(replace(JOB, phases=(*JOB.phases, Phase(id=key(53), number=3)))) == USUAL_BY_HAND


@pytest.mark.parametrize("phases", [{str(FIRST): 1}, {str(FIRST): 1, str(SECOND): 0}, {str(FIRST): 1, str(SECOND): -1}])
def test_phase_that_costs_nothing_takes_no_share_however_little_the_others_cost(phases):
    prices = replace(client_prices(JOB, estimate(JOB, BASIS)), phases=phases)
    assert {one.phase for one in schedule(JOB, FIRM, prices)} == {"", "Phase 1"}


def test_job_without_phases_is_paid_for_as_one():
    made = due(replace(JOB, phases=(), zones=tuple(replace(zone, phase_id=None) for zone in JOB.zones)))
    assert [event for event, *_ in made] == ["At signing", *(event for event, *_ in USUAL_BY_HAND[1:4])]
    assert {phase for _, phase, _ in made} == {""}


def test_odd_cents_are_in_the_last_payment():
    made = due(basis=firm_with(round_to_cents=1))  # 12,471.72
    assert [cents % 100 for *_, cents in made] == [0] * 6 + [72]
    assert sum(cents for *_, cents in made) == 12_471_72


def test_set_payments_are_shares_of_the_whole_or_of_their_phase_amounts_and_what_is_left():
    job = with_payments(
        pay("Signed", 0, share=Decimal("0.1")),
        pay("Stone here", 1, share=Decimal("0.5"), phase_id=SECOND),
        pay("Fire bowl ordered", 2, cents=2_500_00),
        pay("Walked", 3),
    )
    # 1,247.20 and 902.00 in whole money; left are 12,472 − 1,247 − 902 − 2,500
    assert due(job) == [
        ("Signed", "", 1_247_00),
        ("Stone here", "Phase 2", 902_00),
        ("Fire bowl ordered", "", 2_500_00),
        ("Walked", "", 7_823_00),
    ]


def test_half_a_unit_of_money_is_rounded_up():
    # 10,668 / 8 = 1,333.50
    assert due(with_payments(pay("a", 0, share=Decimal("0.125"), phase_id=FIRST), pay("b", 1)))[0][2] == 1_334_00


def test_payments_stand_by_their_position_and_what_is_left_is_shared_evenly():
    made = due(with_payments(pay("last", 2), pay("first", 0, cents=472_01), pay("middle", 1)))
    assert made == [("first", "", 472_01), ("middle", "", 6_000_00), ("last", "", 5_999_99)]


def test_without_one_left_open_the_last_takes_the_rest():
    assert due(with_payments(pay("a", 0, cents=1_00), pay("b", 1, cents=2_00))) == [
        ("a", "", 1_00),
        ("b", "", CONTRACT - 1_00),
    ]
    assert due(with_payments(pay("a", 0, cents=CONTRACT - 1_00), pay("b", 1, cents=3_00)))[1] == ("b", "", 1_00)
    assert due(with_payments(pay("a", 0, cents=CONTRACT), pay("b", 1)))[1] == ("b", "", 0)


def test_payments_beyond_the_contract_sum_are_refused_in_words():
    for payments in (
        (pay("a", 0, cents=CONTRACT + 1), pay("b", 1)),
        (pay("a", 0, cents=CONTRACT + 1), pay("b", 1), pay("c", 2)),
        (pay("a", 0, cents=CONTRACT + 1), pay("b", 1, cents=0)),
    ):
        with pytest.raises(BadValue, match="more than the contract sum"):
            due(with_payments(*payments))


@settings(max_examples=60)
@given(jobs(), bases(), st.decimals(0, 1, places=3))
def test_usual_payments_add_up_to_the_contract_sum_of_any_job(job, basis, deposit):
    prices = client_prices(job, estimate(job, basis))
    made = schedule(job, replace(basis.firm, deposit_share=deposit), prices)
    assert sum(one.cents for one in made) == prices.contract
    assert all(one.cents >= 0 for one in made)
