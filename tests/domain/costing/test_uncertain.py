"""What may move, and with what: prices by their own spread, by the rules of their class, or not at all where they are held."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.basis import CostClass, Rule
from app.domain.costing.estimate import estimate
from app.domain.costing.range import Inputs, closed_form
from app.domain.costing.uncertain import HAULING, SUBS, group_of, price_spread
from app.interchange.library_file import load_library
from tests.domain.costing.three_zones import BASIS, JOB

RULED = replace(BASIS, rules=load_library().rules)
PLAIN = replace(BASIS.prices["mulch"], low=0.0, high=0.0, valid_until=None)


def test_a_price_with_its_own_spread_keeps_it() -> None:
    own = replace(PLAIN, low=-0.1, high=0.3)
    assert price_spread(own, CostClass.MATERIAL, RULED) == (-0.1, 0.3)


def test_a_price_without_one_moves_as_the_rules_of_its_class_say() -> None:
    assert price_spread(PLAIN, CostClass.MATERIAL, RULED) == (-0.03, 0.06)
    assert price_spread(PLAIN, CostClass.SUBCONTRACT, RULED) == (-0.05, 0.20)
    assert price_spread(PLAIN, CostClass.MATERIAL, BASIS) == (0.0, 0.0)


def test_a_price_that_is_held_does_not_move_and_none_is_nothing() -> None:
    assert price_spread(replace(PLAIN, valid_until=date(2027, 6, 1)), CostClass.MATERIAL, RULED) == (0.0, 0.0)
    assert price_spread(None, CostClass.MATERIAL, RULED) == (0.0, 0.0)


def test_spreads_never_turn_around_nor_below_nothing() -> None:
    odd = replace(PLAIN, low=0.2, high=-0.2)
    assert price_spread(odd, CostClass.MATERIAL, BASIS) == (0.0, 0.0)
    assert price_spread(replace(PLAIN, low=-3.0), CostClass.MATERIAL, BASIS) == (-1.0, 0.0)


def test_hauling_and_subcontractors_move_on_their_own_all_else_with_its_supplier() -> None:
    assert group_of(CostClass.HAULING, "yard") == HAULING
    assert group_of(CostClass.SUBCONTRACT, "yard") == SUBS
    assert group_of(CostClass.EQUIPMENT, "yard") == "supplier:yard"


@pytest.mark.parametrize(("rule", "value"), [("apart-taped", 0.2), ("weather-high", 0.5), ("market-high", 0.5)])
def test_a_rule_of_the_firms_own_widens_the_band(rule: str, value: float) -> None:
    own = Rule(id=rule, title=rule, value=value)
    wider, shipped = (estimate(JOB, one).range for one in (replace(RULED, rules={**RULED.rules, rule: own}), RULED))
    assert wider.high > shipped.high


def test_a_purchase_as_one_input_moves_the_job_as_its_lines_do() -> None:
    inputs = estimate(JOB, RULED).inputs
    by_line = Inputs(inputs.inputs, inputs.common)
    assert len(inputs.rows.groups) < len(inputs.inputs)
    assert closed_form(inputs) == pytest.approx(closed_form(by_line), rel=1e-9)
    assert inputs.loaded == pytest.approx(by_line.loaded, rel=1e-9)
    assert inputs.distribution.parts == pytest.approx(by_line.distribution.parts, rel=1e-6)
    for name, spread in by_line.groups.items():
        assert [inputs.groups[name].low, inputs.groups[name].high] == pytest.approx([spread.low, spread.high], rel=1e-9)


def test_what_may_move_is_the_same_after_any_edit_as_worked_out_afresh() -> None:
    job = JOB
    for number, work in enumerate(JOB.works):
        works = tuple(replace(one, parameters={}) if one is work else one for one in job.works)
        zones = tuple(replace(one, title=f"{one.title} {number}") for one in job.zones[:1]) + job.zones[1:]
        job = replace(job, works=works, zones=zones if number % 2 else job.zones)
        warm = estimate(job, RULED).inputs
        again = Inputs(warm.inputs, warm.common)
        assert closed_form(warm) == pytest.approx(closed_form(again), rel=1e-9)
        assert warm.loaded == pytest.approx(again.loaded, rel=1e-9)
