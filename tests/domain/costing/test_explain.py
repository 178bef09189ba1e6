"""Every figure opens: its trace gives the same number, and the numbers it shows work out to it."""

import re
from dataclasses import replace

import pytest

from app.domain.costing.estimate import estimate
from app.domain.costing.explain import Explaining, explain
from app.domain.costing.price import STEPS
from app.domain.errors import NotFound
from app.domain.takeoff.trace import Trace
from tests.domain.costing.test_estimate import COST_BY_HAND, PRICE_BY_HAND
from tests.domain.costing.three_zones import BASIS, BED, FIRST, JOB, PATH, SECOND, TERRACE, firm_with, without

WORKED = estimate(JOB, BASIS)
EXPLAINING = Explaining(JOB, BASIS, WORKED)


def worked_out(filled: str) -> float:
    """What the numbers put in come to."""
    text = filled.replace("×", "*").replace("−", "-").replace(",", "").split("→")[-1]
    units = {"inch": 1 / 12, "foot": 1.0, "lb": 1.0, "ton": 2000.0}
    return eval(text, {"__builtins__": {}}, units)  # our own words of numbers only


def all_of(trace: Trace):
    yield trace
    for step in trace.steps:
        yield from all_of(step)


def test_line_of_every_kind_opens_to_its_own_cents():
    for line in WORKED.lines:
        expected = 28 if line.kind == "rounding" else line.cents
        assert EXPLAINING.figure(line.figure).result == pytest.approx(expected / 100), line.figure


def test_figures_of_lines_are_told_apart():
    assert len({line.figure for line in WORKED.lines}) == len(WORKED.lines)


def test_numbers_put_in_work_out_to_the_result_of_every_calculated_step():
    # every trace whose filled text is arithmetic is worked out again from that text alone
    checked = set()
    for name in [line.figure for line in WORKED.lines] + ["purchase:stone:" + str(FIRST), "price", "cost"]:
        for trace in all_of(EXPLAINING.figure(name)):
            if trace.filled and re.fullmatch(r"[-\d.,()×/+*→− ]*((lb|foot|inch)[-\d.,()×/+*→− ]*)*", trace.filled):
                assert worked_out(trace.filled) == pytest.approx(trace.result, abs=0.011), trace
                checked.add(trace.label)
    assert {
        "Lay: hours",
        "Crew: cost of an hour",
        "Crushed stone wanted",
        "Crushed stone, ordered",
        "Ordered",
        "Price",
    } <= checked


def test_material_line_opens_down_to_measure_formula_conversion_and_source():
    trace = EXPLAINING.figure(next(one.figure for one in WORKED.lines if one.key == "stone"))
    names = {one.expression for one in all_of(trace)}
    assert {"area * base", "area", "amount in place × density in place / unit bought × (1 + lost + kept)"} <= names
    wanted = next(one for one in all_of(trace) if one.label == "Crushed stone wanted")
    assert wanted.filled == "150 × (140*lb/foot**3) / 2,000 × (1 + 0.08 + 0)"
    assert any("price book, quarry" in one.source for one in all_of(trace))


def test_zone_phase_and_class_open_to_parts_that_add_up():
    for kind, table in (("zone", WORKED.price_by_zone), ("phase", WORKED.price_by_phase)):
        for key, cents in table.items():
            trace = EXPLAINING.figure(f"{kind}:{key}")
            assert trace.result == pytest.approx(cents / 100)
            assert sum(part.result for part in trace.steps) == pytest.approx(trace.result)
    assert EXPLAINING.figure("class:labor").result == pytest.approx(WORKED.price_by_class["labor"] / 100)


def test_price_and_cost_open_to_the_steps():
    price, cost = EXPLAINING.figure("price"), EXPLAINING.figure("cost")
    assert price.result == PRICE_BY_HAND / 100
    assert cost.result == COST_BY_HAND / 100
    assert sum(one.result for one in price.steps) == pytest.approx(price.result)
    assert sum(one.result for one in cost.steps) == pytest.approx(cost.result)


@pytest.mark.parametrize("name", STEPS)
def test_step_opens_to_its_cents(name):
    assert EXPLAINING.figure(f"step:{name}").result == pytest.approx(WORKED.build_up.step(name).cents / 100)


def test_hours_and_days_open():
    assert EXPLAINING.figure(f"hours:{TERRACE}").result == pytest.approx(27.6)
    assert EXPLAINING.figure(f"days:{FIRST}").result == 2
    assert EXPLAINING.figure(f"days:{SECOND}").filled == "4.6 / 27 → 1"
    assert EXPLAINING.figure("wage:owner").result == pytest.approx(75)


def test_crew_days_in_a_trace_are_those_of_the_estimate():
    supervise = next(one for one in WORKED.lines if one.key == "supervise")
    assert EXPLAINING.figure(f"amount:{supervise.work_id}:0").filled == "3 × 1.5 × hour"


def test_site_factor_and_high_third_are_told():
    high = explain(JOB, firm_with(rate_third="high"), next(one.figure for one in WORKED.lines if one.key == "lay"))
    hours = next(one for one in high.steps if one.label == "Lay: hours")
    assert hours.filled == "(300 × (0.05 + 2/3 × (0.1 − 0.05)) + (1 + 2/3 × (3 − 1))) × 1.2"
    assert worked_out(hours.filled) == pytest.approx(hours.result) == 32.8


def test_missing_price_and_wage_are_told_and_are_no_figure():
    no_price = explain(JOB, without("prices", "stone"), next(one.figure for one in WORKED.lines if one.key == "stone"))
    no_wage = explain(
        JOB, without("labor_classes", "crew"), next(one.figure for one in WORKED.lines if one.key == "lay")
    )
    assert (no_price.expression, no_wage.expression) == ("no price yet", "no wage yet")


def test_band_opens_to_what_moves_together():
    trace = EXPLAINING.figure("range")
    assert {one.label for one in trace.steps} == {
        "How fast the work goes",
        "How many of your own hours it takes",
        "Prices of Quarry",
        "Prices of Yard",
        "Prices without a supplier",
    }
    assert trace.result == pytest.approx((WORKED.range.high - WORKED.range.low) / 100)


@pytest.mark.parametrize(
    "name",
    ["", "line", "line:material:x:0", "zone:nowhere", "zone:", "step:nothing", "purchase:gone:1", "amount:1:2", "amount:",
     f"amount:{BED}:0", "amount:00000000-0000-0000-0000-000000000065:99", "hours:x", "days:x", "wage:x", "phase:x", "weather:fair"],
)  # fmt: skip
def test_figure_that_is_not_there_is_not_found(name):
    with pytest.raises(NotFound):
        EXPLAINING.figure(name)


def test_figure_of_a_removed_zone_is_not_found():
    less = replace(JOB, zones=JOB.zones[:1], alternatives=JOB.alternatives[:1])
    with pytest.raises(NotFound):
        explain(less, BASIS, f"zone:{PATH}")
