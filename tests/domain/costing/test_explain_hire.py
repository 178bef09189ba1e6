"""A hired machine opens: hours, the mix, what each period alone would cost, delivery, pick-up, fuel."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.basis import CostClass, Price
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from tests.domain.costing.test_explain import all_of, worked_out
from tests.domain.costing.three_zones import BASIS, FIRST, JOB

MACHINE = replace(
    BASIS.materials["stone"], buy="hour", cost_class=CostClass.EQUIPMENT, coverage="10*foot**3", load="", loss=0.0
)
PRICE = Price(
    material="stone",
    unit_price=Decimal(62),
    supplier="quarry",
    day_cents=310_00,
    week_cents=1_040_00,
    delivery_cents=95_00,
    pickup_cents=80_00,
    fuel="ours",
    fuel_cents=6_20,
)
HIRING = replace(BASIS, materials={**BASIS.materials, "stone": MACHINE}, prices={**BASIS.prices, "stone": PRICE})


def test_hire_opens_to_every_part_and_the_numbers_work_out():
    worked = estimate(JOB, HIRING)
    bought = next(one for one in worked.purchases if one.material == "stone" and one.phase == str(FIRST))
    trace = explain(JOB, HIRING, f"purchase:stone:{FIRST}", worked)
    assert trace.expression == "hire + loads × delivery + pick-up + hours at work × fuel an hour"
    assert trace.result == pytest.approx(bought.total_cents / 100) == pytest.approx(worked_out(trace.filled))
    labels = {one.label: one for one in all_of(trace)}
    assert labels["Machine hours"].result == pytest.approx(bought.wanted)
    assert labels["Hire"].result == bought.cents / 100 == pytest.approx(worked_out(labels["Hire"].filled))
    assert (
        "a day is 8 hours, a week 5 days"
        in next(one for one in labels.values() if one.label.startswith("Hired")).source
    )
    alone = [one for label, one in labels.items() if label.endswith("alone")]
    assert {one.label for one in alone} == {"By the hour alone", "By the day alone", "By the week alone"}
    assert all(one.result >= bought.cents / 100 for one in alone)
    assert explain(JOB, HIRING, f"ordered:stone:{FIRST}", worked).result == bought.bought


def test_lines_of_a_hired_machine_add_up_to_its_hire():
    worked = estimate(JOB, HIRING)
    bought = [one for one in worked.purchases if one.material == "stone"]
    lines = [line.cents for line in worked.lines if line.key == "stone" and line.kind == "material"]
    assert sum(lines) == sum(one.total_cents for one in bought)
