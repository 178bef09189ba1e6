"""Loads and tipping open: volumes, weight, limits; the numbers put in work out."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.basis import Price
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from app.domain.job import PlaceKind, Work
from app.interchange.library_file import load_library
from tests.domain.costing.test_explain import all_of
from tests.domain.takeoff.yards import JOB, PLAIN, key

PRICE = Price(
    material="haul-soil", unit_price=Decimal("4.50"), delivery_cents=165_00, tip_cents=9_00, tip_per="ton", tip_least_cents=75_00
)  # fmt: skip
BASIS = replace(load_library().basis(), prices={"haul-soil": PRICE})
DIG = Work(id=key(700), place=PlaceKind.ALTERNATIVE, place_id=PLAIN.id, assembly="excavate-and-haul")
CLAY = replace(JOB, works=(DIG,), site=replace(JOB.site, soil="clay"))
WORKED = estimate(CLAY, BASIS)
BOUGHT = next(one for one in WORKED.purchases if one.material == "haul-soil")


def test_loads_open_to_volume_in_the_ground_loose_and_weight():
    # 18 × 16 ft, 7 in deep: 168 cu ft = 6.222 cu yd in the ground, × 1.43 = 8.898 loose → 9 cu yd ordered
    trace = explain(CLAY, BASIS, f"loads:haul-soil:{BOUGHT.phase}", WORKED)
    assert trace.result == BOUGHT.loads == 1
    assert trace.filled == "9 / 10 → 1; 9.3462 / 12 → 1"
    found = {one.label: one for one in all_of(trace)}
    assert found["In the ground"].result == pytest.approx(9 / 1.43)
    assert found["In the ground"].filled == "9 / 1.43"
    assert found["If it were compacted again"].result == pytest.approx(9 / 1.43 * 0.9)
    assert found["Weight"].result == pytest.approx(9 / 1.43 * 27 * 110 / 2000)
    assert "earthmoving tables" in found["In the ground"].source
    assert "10 cu yd" in trace.source
    assert "12 tons" in trace.source


def test_cost_of_hauling_opens_to_loading_trucks_and_tipping():
    trace = explain(CLAY, BASIS, f"purchase:haul-soil:{BOUGHT.phase}", WORKED)
    assert trace.expression == "ordered × unit price + loads × delivery + tipping"
    assert trace.result == BOUGHT.total_cents / 100 == 40.50 + 165.00 + 84.12
    tip = next(one for one in trace.steps if one.label == "Tipping")
    assert tip.filled == "9.3462 × 9, at least 1 × 75 → 84.12"


def test_what_has_no_load_has_no_loads_to_open():
    bought = next(one for one in WORKED.purchases if one.material == "mini-excavator")
    assert bought.on_trucks is None
