"""What the range says about the price: percentiles, chances, and what drives it, each with where it comes from."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.costing.estimate import estimate
from app.domain.costing.explain_range import explain_mover, explain_outlook
from app.domain.costing.movers import movers
from app.domain.costing.outlook import outlook
from app.domain.costing.simulation import simulate
from tests.domain.costing.test_estimate import sketched
from tests.domain.costing.three_zones import BASIS, JOB

ROUGH = sketched(JOB)
WORKED = estimate(ROUGH, BASIS)
CLOSED = outlook(WORKED, WORKED.inputs.distribution)


def test_ten_and_ninety_are_the_band() -> None:
    prices = {one.number: one.price_cents for one in CLOSED.percentiles}
    assert (prices[10], prices[90]) == (round(WORKED.range.low, -2), round(WORKED.range.high, -2))
    assert prices[10] < prices[50] < prices[80] < prices[90]


def test_room_is_direct_cost_with_contingency_then_with_the_profit() -> None:
    steps = WORKED.build_up
    direct, contingency, profit = (steps.step(name).cents for name in ("direct", "contingency", "profit"))
    assert CLOSED.room_cents == direct + contingency
    assert CLOSED.all_cents == direct + contingency + profit + steps.step("rounding").cents
    assert CLOSED.over_contingency > CLOSED.over_price


def test_thinner_margin_makes_a_loss_likelier_and_none_makes_it_as_likely_as_a_thinner_profit() -> None:
    firm = replace(BASIS.firm, margin=Decimal(0), contingency=Decimal(0), round_to_cents=1)
    worked = estimate(ROUGH, replace(BASIS, firm=firm))
    found = outlook(worked, worked.inputs.distribution)
    assert found.over_price == found.over_contingency > CLOSED.over_contingency


def test_drawn_and_closed_say_the_same() -> None:
    drawn = outlook(WORKED, simulate(WORKED.inputs))
    width = WORKED.range.high - WORKED.range.low
    for one, other in zip(drawn.percentiles, CLOSED.percentiles, strict=True):
        assert one.price_cents == pytest.approx(other.price_cents, abs=0.02 * width)
    assert drawn.over_price == pytest.approx(CLOSED.over_price, abs=0.02)


def test_movers_stand_in_the_order_of_what_they_make_of_the_width_and_lead_somewhere() -> None:
    found = movers(WORKED, BASIS)
    assert [one.part for one in found] == sorted((one.part for one in found), reverse=True)
    assert sum(one.part for one in found) == pytest.approx(1, abs=0.02)
    assert {"labor", "measures"} <= {one.name for one in found}
    assert all(one.down_cents <= 0 < one.up_cents for one in found)
    assert all(one.title and one.remedy and one.where for one in found)
    assert "fixed" not in {one.name for one in found}


def test_taping_takes_measures_down_the_list() -> None:
    rough = next(one for one in movers(WORKED, BASIS) if one.name == "measures")
    taped = next((one for one in movers(estimate(JOB, BASIS), BASIS) if one.name == "measures"), None)
    assert taped is None or taped.part < rough.part / 3


def test_each_mover_opens_to_its_lines_and_their_likely_adds_up() -> None:
    for one in movers(WORKED, BASIS):
        trace = explain_mover(ROUGH, BASIS, WORKED, one.figure)
        assert trace is not None
        assert trace.label == one.title
        assert trace.steps
        group = WORKED.inputs.groups.get(one.name)
        if group:
            assert round(trace.result * 100) == round(group.high - group.low)
            assert sum(round(step.result * 100) for step in trace.steps) == pytest.approx(group.likely, abs=2)
    assert explain_mover(ROUGH, BASIS, WORKED, "mover:none") is None


def test_percentiles_and_chances_open_to_themselves() -> None:
    for one in CLOSED.percentiles:
        trace = explain_outlook(ROUGH, BASIS, WORKED, f"percentile:{one.number}")
        assert trace is not None
        assert round(trace.result * 100) == one.price_cents
    for name, share, cents in (
        ("contingency", CLOSED.over_contingency, CLOSED.room_cents),
        ("price", CLOSED.over_price, CLOSED.all_cents),
    ):
        trace = explain_outlook(ROUGH, BASIS, WORKED, f"chance:{name}")
        assert trace is not None
        assert trace.result == pytest.approx(100 * share)
        assert round(trace.steps[0].result * 100) == cents
        assert sum(round(step.result * 100) for step in trace.steps[0].steps) == cents
    for figure in ("percentile:33", "percentile:x", "chance:moon"):
        assert explain_outlook(ROUGH, BASIS, WORKED, figure) is None
