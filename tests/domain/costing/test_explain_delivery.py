"""Delivery opens: shared loads, small orders, orders worth little, pallets; what is put in works out."""

from dataclasses import replace

import pytest

from app.domain.basis import Supplier
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from app.domain.orders import order
from app.interchange.order_sheets import notes_of
from tests.domain.costing.test_explain import all_of, worked_out
from tests.domain.costing.three_zones import BASIS, FIRST, JOB

QUARRY = Supplier(key="quarry", title="Quarry", order_least_cents=100_000_00, order_fee_cents=85_00, shares_loads=True)
STONE = replace(
    BASIS.prices["stone"], supplier="quarry", small_below=500.0, small_cents=65_00, pallet=5.0, deposit_cents=24_00, deposit_lost=0.1
)  # fmt: skip
CHARGING = replace(BASIS, prices={**BASIS.prices, "stone": STONE}, suppliers={**BASIS.suppliers, "quarry": QUARRY})
WORKED = estimate(JOB, CHARGING)
BOUGHT = next(one for one in WORKED.purchases if one.material == "stone" and one.phase == str(FIRST))


def test_charges_open_and_the_numbers_work_out():
    trace = explain(JOB, CHARGING, f"purchase:stone:{FIRST}", WORKED)
    assert trace.result == pytest.approx(BOUGHT.total_cents / 100) == pytest.approx(worked_out(trace.filled))
    for words in (
        "charge for a small order",
        "its part of the charge for an order worth little",
        "pallets that do not",
    ):
        assert words in trace.expression
    found = {one.label: one for one in all_of(trace)}
    assert found["Small order"].result == 65.0
    assert found["Order worth little"].result == 85.0
    pallets = BOUGHT.pallets
    assert found["Pallet deposits"].result == pytest.approx(worked_out(found["Pallet deposits"].filled))
    assert f"{pallets.come} pallets come" in found["Pallet deposits"].source


def test_all_lines_of_the_estimate_still_add_up():
    assert sum(one.total_cents for one in WORKED.purchases) == sum(
        line.cents for line in WORKED.lines if line.kind == "material"
    )


def test_order_list_says_what_goes_back():
    line = next(line for one in order(JOB, CHARGING) for line in one.lines if line.material == "stone")
    assert any("go back" in words for words in notes_of(line))
