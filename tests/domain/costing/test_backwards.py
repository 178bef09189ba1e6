"""The build-up read backwards: what was asked for is what the forward build-up gives, to the cent."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from app.domain.costing.backwards import Standing, break_even_cents, left_at, price_at, price_points
from app.domain.costing.estimate import estimate
from app.domain.costing.price import margin_of, rounded
from app.domain.errors import BadValue
from tests.domain.costing.random_jobs import bases, jobs
from tests.domain.costing.three_zones import BASIS, JOB, firm_with

# by hand (test_estimate): cost 8,475.96, allowances 2,500.00, sold at 15 % for 12,472.00
COST, ALLOWANCES = 8_475_96, 2_500_00
PRICES = st.integers(3_000_00, 90_000_00)


def with_own(**own):
    return replace(JOB, head=replace(JOB.head, **own))


def at(price_cents, job=JOB, basis=BASIS):
    return left_at(job, basis, estimate(job, basis), price_cents)


def test_what_is_left_at_a_price_by_hand():
    left = at(13_000_00)
    # 13,000.00 − 2,500.00 = 10,500.00 sold; − 8,475.96 = 2,024.04; ÷ 10,500.00 = 19.277 %, ÷ 8,475.96 = 23.880 %
    assert (left.sold_cents, left.profit_cents) == (10_500_00, 2_024_04)
    assert round(left.margin, 5) == Decimal("0.19277")
    assert round(left.markup, 5) == Decimal("0.23880")
    # three crew days: 2,024.04 ÷ 3 = 674.68
    assert (left.crew_days, left.profit_per_day_cents) == (3, 674_68)
    # beside the margin of 15 % (profit 1,495.76): 13,000.00 − 12,471.72
    assert left.adjustment_cents == 528_28
    assert left.standing is Standing.PROFIT


def test_markup_and_margin_stand_beside_one_another_as_published():
    # Source: "Small business pricing: mark-ups and margins", theresourcefulceo.com, October 2017: 50 % markup is a
    # margin of 33 1/3 %; pairs of the chain identity margin = m / (1 + m): 25 ↔ 20, 33 1/3 ↔ 25, 100 ↔ 50
    for markup, margin in (("0.5", 1 / 3), ("0.25", 0.2), ("0.333333333", 0.25), ("1", 0.5)):
        left = price_at(JOB, BASIS, estimate(JOB, BASIS), margin_of(Decimal(markup)))
        assert float(left.margin) == pytest.approx(margin, abs=1e-4)
        assert float(left.markup) == pytest.approx(float(markup), abs=1e-4)


@pytest.mark.parametrize(
    ("price", "standing"),
    [
        (COST + ALLOWANCES + 1_00, Standing.PROFIT),
        (COST + ALLOWANCES, Standing.BREAK_EVEN),
        (COST + ALLOWANCES - 1, Standing.SHORT),
        # overhead 1,176.38 + contingency 332.44
        (COST + ALLOWANCES - 1_508_82, Standing.SHORT),
        (COST + ALLOWANCES - 1_508_83, Standing.LOSS),
    ],
)
def test_what_a_price_pays_for_is_told_at_its_limits(price, standing):
    assert at(price, basis=firm_with(round_to_cents=1)).standing is standing


def test_break_even_is_cost_with_allowances():
    assert break_even_cents(BASIS, estimate(JOB, BASIS)) == COST + ALLOWANCES


@given(PRICES, st.sampled_from(["consumer", "retailer", "none"]), st.sampled_from([100, 5_000, 100_000]))
@settings(max_examples=60)
def test_price_asked_for_is_the_price_that_comes_back(price, mode, step):
    basis = firm_with(tax_mode=mode, round_to_cents=step)
    asked = rounded(price, step)
    assume(asked > ALLOWANCES + 1_00)
    left = at(asked, basis=basis)
    assert left.price_cents == asked
    by_margin = estimate(with_own(own_margin=left.own_margin), basis)
    assert by_margin.price_cents == asked
    assert by_margin.build_up.profit_cents == left.profit_cents
    by_adjustment = estimate(with_own(adjustment_cents=left.adjustment_cents), basis)
    assert by_adjustment.price_cents == asked
    for worked in (by_margin, by_adjustment):
        assert sum(worked.selling) == worked.price_cents == sum(worked.price_by_zone_and_phase.values())


@given(st.decimals("-0.5", "0.9", places=4), st.sampled_from(["consumer", "retailer"]), st.sampled_from([100, 10_000]))
@settings(max_examples=60)
def test_margin_goes_to_a_price_and_back_to_the_same_profit(margin, mode, step):
    basis = firm_with(tax_mode=mode, round_to_cents=step)
    there = price_at(JOB, basis, estimate(JOB, basis), margin)
    assert estimate(with_own(own_margin=margin), basis).price_cents == there.price_cents
    assume(there.price_cents > ALLOWANCES)
    back = at(there.price_cents, basis=basis)
    assert back.price_cents == there.price_cents
    # where tax comes on top, what the last rounding moved carries its tax or not: 7 % of half a step at most
    assert abs(back.profit_cents - there.profit_cents) <= (step * 0.035 if mode == "retailer" else 0)


def test_the_margin_of_a_price_far_over_cost_gives_that_price_back():
    asked = 10**11  # where a margin of twelve places is ten dollars off and more
    assert estimate(with_own(own_margin=at(asked).own_margin), firm_with(round_to_cents=1)).price_cents == asked


@given(jobs(), bases(), st.integers(1, 10**8))
@settings(max_examples=40, deadline=None)
def test_random_jobs_are_brought_to_a_price_in_both_ways(job, basis, price):
    worked = estimate(job, basis)
    assume(worked.cost_cents > 0)
    step = basis.firm.round_to_cents
    asked = rounded(price, step)
    assume(asked > worked.build_up.step("allowances").cents)
    left = left_at(job, basis, worked, asked)
    # where every cent counts and tax comes on top, a cent of profit can be two of price: some prices do not exist
    near = 1 if step < 2 and basis.firm.tax_mode == "retailer" else 0
    assert abs(left.price_cents - asked) <= near
    for own in ({"own_margin": left.own_margin}, {"adjustment_cents": left.adjustment_cents}):
        again = estimate(replace(job, head=replace(job.head, **own)), basis)
        assert abs(again.price_cents - asked) <= near


def test_more_price_never_leaves_less():
    found = [at(price).profit_cents for price in range(9_000_00, 20_000_00, 777_00)]
    assert found == sorted(found)


def test_own_terms_are_steps_of_their_own_and_in_words():
    worked = estimate(with_own(own_margin=Decimal("0.1"), adjustment_cents=-20_000, adjustment_title="Neighbor"), BASIS)
    build_up = worked.build_up
    # 8,475.96 × 0.1 / 0.9 = 941.7733
    assert (build_up.step("profit").cents, build_up.step("profit").words) == (
        941_77,
        "10% of the price, this job's own",
    )
    assert (build_up.step("adjustment").cents, build_up.step("adjustment").words) == (-200_00, "Neighbor")
    assert sum(build_up.step("adjustment").shares) == -200_00
    # 8,475.96 + 941.77 − 200.00 + 2,500.00 = 11,717.73
    assert build_up.price_cents == 11_718_00
    assert build_up.cost_cents == COST


def test_adjustment_never_brings_a_price_below_nothing():
    worked = estimate(with_own(adjustment_cents=-(10**9)), BASIS)
    assert worked.price_cents == ALLOWANCES
    assert min(worked.selling) >= 0


def test_tax_follows_what_is_really_asked_for():
    plain = estimate(JOB, firm_with(tax_mode="retailer"))
    less = estimate(with_own(adjustment_cents=-1_000_00), firm_with(tax_mode="retailer"))
    sold = plain.price_cents - plain.build_up.passed_on_cents
    kept = Decimal(sold - 1_000_00) / sold
    assert less.build_up.step("sales tax").cents == pytest.approx(
        float(plain.build_up.step("sales tax").cents * kept), abs=2
    )


@pytest.mark.parametrize(("price", "words"), [(2_500_00, "does not pay the allowances"), (10**13, "more than a back")])
def test_price_that_cannot_be_is_refused_in_words(price, words):
    with pytest.raises(BadValue, match=words):
        at(price)


def test_job_without_a_price_is_not_read_backwards():
    bare = replace(JOB, works=(), allowances=())
    with pytest.raises(BadValue, match="Nothing of this job is priced"):
        at(1_000_00, job=bare)


def test_job_sold_for_less_than_it_costs_is_an_open_point():
    # profit 1,495.76 + rounding; 2,000.00 taken off: 12,471.72 − 2,000.00 = 10,471.72 → 10,472.00; − 10,975.96 = −503.96
    worked = estimate(with_own(adjustment_cents=-2_000_00, adjustment_title="Friend"), BASIS)
    assert [one.measured for one in price_points(worked, "USD")] == ["50396"]
    assert "$503.96 less than it costs" in price_points(worked, "USD")[0].what
    assert price_points(estimate(JOB, BASIS), "USD") == ()
    assert price_points(estimate(with_own(own_margin=Decimal(0)), firm_with(round_to_cents=1)), "USD") == ()
