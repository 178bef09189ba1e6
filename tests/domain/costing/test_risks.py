"""Risks of a job: what they cost on average, who carries them, what the site gives reason to ask for."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import CostClass
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from app.domain.costing.price import Cells, build_up
from app.domain.costing.risks import FACTS, expected_cents, offered, reasons_of, risk_points, three_points
from app.domain.job import Allowance, Answer, Existing, Fate, Phase, Risk, UnitPrice
from app.interchange.starting_risks import starting_risks
from tests.domain.costing.three_zones import BASIS, BED, FIRM, JOB

PERT = (  # Source: pmknowledgecenter.be, PERT: incorporating activity time variability: a, m, b and our (a + 4m + b) / 6
    (2, 5, 8, 5),
    (1, 2, 9, 3),
    ("0.25", "0.5", "3.75", 1),
    (1, 1, 7, 2),
    (1, 3, 11, 4),
)


def risk(chance="0.5", low=None, likely=0, high=None, **more) -> Risk:
    told = {"id": UUID(int=901), "title": "Rubble", **more}
    return Risk(chance=Decimal(chance), low_cents=low, likely_cents=likely, high_cents=high, **told)


def with_risks(*risks: Risk):
    return replace(JOB, risks=risks)


@pytest.mark.parametrize(("low", "likely", "high", "mean"), PERT)
def test_expected_cost_weighs_three_points_as_published(low, likely, high, mean):
    low, likely, high = (int(Decimal(str(one)) * 100_00) for one in (low, likely, high))
    assert expected_cents(risk("1", low, likely, high)) == mean * 100_00


def test_end_that_is_not_told_is_the_likely_one_and_order_never_matters():
    assert three_points(risk(likely=900)) == (900, 900, 900)
    assert three_points(risk(low=5_000, likely=900, high=100)) == (100, 900, 5_000)
    # 0.25 × (400 + 4 × 1,000 + 2,800) / 6 = 300
    assert expected_cents(risk("0.25", 400_00, 1_000_00, 2_800_00)) == 300_00


def test_only_what_the_firm_carries_is_in_the_price():
    job = with_risks(
        risk("0.5", likely=1_000_00),
        risk("0.5", likely=9_000_00, id=UUID(int=902), carried_by="unit price"),
        risk("0.5", likely=9_000_00, id=UUID(int=903), carried_by="allowance"),
    )
    plain, worked = estimate(JOB, BASIS), estimate(job, BASIS)
    assert worked.build_up.step("risks").cents == 500_00
    assert worked.cost_cents == plain.cost_cents + 500_00
    # 500.00 / 0.85 = 588.24, sold at the margin of 15 %; the last rounding moves it by a dollar at most
    assert abs(worked.price_cents - plain.price_cents - 588_24) < 100


def test_risk_of_a_zone_is_carried_by_its_lines():
    worked = estimate(with_risks(risk("0.5", likely=1_000_00, zone_id=BED)), BASIS)
    shares = worked.build_up.step("risks").shares
    assert sum(shares) == 500_00
    assert {line.zone for line, share in zip(worked.lines, shares, strict=True) if share} == {str(BED)}
    anywhere = estimate(with_risks(risk("0.5", likely=1_000_00, zone_id=UUID(int=77))), BASIS)
    assert anywhere.build_up.step("risks").cents == 500_00


@given(st.lists(st.tuples(st.decimals(0, 1, places=2), st.integers(0, 10**7)), max_size=5))
@settings(max_examples=40)
def test_sums_are_exact_and_more_risk_never_costs_less(risks):
    listed = [risk(chance, likely=cents, id=UUID(int=910 + at)) for at, (chance, cents) in enumerate(risks)]
    worked = estimate(with_risks(*listed), BASIS)
    assert sum(worked.selling) == worked.price_cents
    assert worked.build_up.step("risks").cents == sum(expected_cents(one) for one in listed)
    assert worked.price_cents >= estimate(JOB, BASIS).price_cents


def test_step_opens_to_each_risk():
    job = with_risks(risk("0.25", 400_00, 1_000_00, 2_800_00))
    trace = explain(job, BASIS, "step:risks")
    assert (trace.result, [one.result for one in trace.steps]) == (300.0, [300.0])
    assert trace.steps[0].filled == "0.25 × (400 + 4 × 1,000 + 2,800) / 6"


def test_risk_somebody_else_should_carry_without_an_agreement_is_an_open_point():
    job = with_risks(risk(carried_by="unit price"), risk(id=UUID(int=902), carried_by="allowance"))
    assert [one.rule for one in risk_points(replace(job, allowances=()))] == [
        "risk-unit-price-missing",
        "risk-allowance-missing",
    ]
    agreed = replace(job, unit_prices=(UnitPrice(id=UUID(int=5)),), allowances=(Allowance(id=UUID(int=6)),))
    assert risk_points(agreed) == ()
    assert "risk-unit-price-missing" in {one.rule for one in estimate(job, BASIS).findings}


def test_contingency_of_a_class_of_its_own():
    cells = Cells(cents=[100_00, 200_00], classes=[CostClass.LABOR, CostClass.MATERIAL], hours=[1.0, 0.0])
    firm = replace(FIRM, contingency=Decimal("0.05"), contingency_by_class={"labor": Decimal("0.10")})
    # 100.00 × 10 % + 200.00 × 5 % = 20.00
    step = build_up(cells, firm).step("contingency")
    assert (step.cents, step.shares) == (20_00, (10_00, 10_00))
    trace = explain(
        JOB,
        replace(BASIS, firm=replace(BASIS.firm, contingency_by_class={"labor": Decimal("0.1")})),
        "step:contingency",
    )
    assert round(sum(one.result for one in trace.steps), 2) == pytest.approx(trace.result, abs=0.02)


def test_same_share_for_every_class_is_the_one_share():
    by_class = {one.value: BASIS.firm.contingency for one in CostClass}
    firm = replace(BASIS.firm, contingency_by_class=by_class)
    assert estimate(JOB, replace(BASIS, firm=firm)).build_up == replace(
        estimate(JOB, BASIS).build_up,
        steps=tuple(
            replace(one, words="by class of cost") if one.name == "contingency" else one
            for one in estimate(JOB, BASIS).build_up.steps
        ),
    )


def test_every_offer_has_a_fact_and_figures_in_order():
    known = starting_risks()
    assert {one.when for one in known} == set(FACTS)
    assert len({one.key for one in known}) == len(known)
    assert all(0 < one.chance < 1 and one.low <= one.likely <= one.high for one in known)


def test_site_gives_reason_until_it_is_known():
    site = JOB.site
    asked = reasons_of(JOB)
    assert {"soil-unknown", "footings", "private-lines-unknown"} <= asked.keys()
    everything = dict.fromkeys(
        ("gas", "pool", "yard-lights", "outbuilding", "footings", "sprinklers", "septic", "roof-drains"), Answer.NO
    )
    known = replace(site, soil="loam", private_lines=everything, access_width=8.0, slope=0.02, built_year=1995)
    assert reasons_of(replace(JOB, site=known)) == {}
    assert offered(replace(JOB, site=known), starting_risks()) == ()
    tree = Existing(id=UUID(int=70), kind="tree", fate=Fate.STAYS)
    slab = Existing(id=UUID(int=71), kind="concrete", fate=Fate.GOES)
    wet = Phase(id=UUID(int=72), number=3, start=date(2027, 2, 1))
    hard = replace(known, soil="rock", slope=0.15, access_width=4.9, built_year=1959)
    found = reasons_of(replace(JOB, site=hard, existing=(tree, slab), phases=(wet,)))
    assert set(found) == {"hard-ground", "steep", "narrow", "old-house", "trees", "breaking-out", "wet"}
    listed = replace(JOB, site=hard, risks=(risk(offer="rock"),))
    assert "rock" not in {one.key for one, _ in offered(listed, starting_risks())}
