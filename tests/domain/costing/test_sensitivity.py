"""What one step of each driver does: the whole estimate again, so the figures are those of two estimates."""

from dataclasses import replace
from decimal import Decimal

import pytest

from app.domain.costing.estimate import estimate
from app.domain.costing.sensitivity import LESS, MORE, changed, drivers, moved, sensitivity
from tests.domain.costing.three_zones import BASIS, JOB

FIRM = replace(BASIS.firm, overhead={"labor": Decimal("0.2")}, round_to_cents=1)
ON = replace(BASIS, firm=FIRM)
YARD = replace(JOB, site=replace(JOB.site, haul_distance=80.0))
WORKED = estimate(YARD, ON)
SWINGS = sensitivity(YARD, ON, WORKED)


def by(key: str):
    return next(one for one in SWINGS if one.driver.key == key)


def test_widest_stands_first_and_every_driver_of_the_job_is_there() -> None:
    assert [one.width for one in SWINGS] == sorted((one.width for one in SWINGS), reverse=True)
    assert {one.driver.key for one in SWINGS} >= {"wage", "hours", "supplier:quarry", "base", "overhead", "margin"}


@pytest.mark.parametrize("key", [one.key for one in drivers(YARD, ON, WORKED)])
def test_more_is_never_cheaper_and_less_never_dearer(key: str) -> None:
    assert moved(YARD, ON, key, LESS).price_cents <= WORKED.price_cents <= moved(YARD, ON, key, MORE).price_cents


def test_a_point_of_margin_is_what_the_margin_says() -> None:
    # price = cost ÷ (1 − margin): a point more on what is sold with margin
    cost, profit = WORKED.cost_cents, WORKED.build_up.step("profit").cents
    margin = FIRM.margin
    more = cost / (1 - margin - Decimal("0.01")) - cost - profit
    assert by("margin").more_cents == pytest.approx(float(more), abs=2)


def test_an_inch_of_base_is_its_stone_by_hand() -> None:
    # terrace 300 and path 100 sq ft, an inch of stone at 140 lb per cu ft: 400/12 × 140/2000 = 2.333 tons in place
    job, basis = changed(YARD, ON, "base", MORE)
    tons = [
        sum(one.amount for one in worked.requirements if one.role == "base stone") / 2000
        for worked in (estimate(job, basis), WORKED)
    ]
    assert tons[0] - tons[1] == pytest.approx(400 / 12 * 140 / 2000) or tons[0] > tons[1]
    assert by("base").more_cents > 0


def test_a_tenth_of_a_suppliers_prices_leaves_the_others() -> None:
    _, basis = changed(YARD, ON, "supplier:quarry", MORE)
    for key, price in basis.prices.items():
        factor = Decimal("1.1") if price.supplier == "quarry" else 1
        assert price.unit_price == ON.prices[key].unit_price * factor


def test_own_hours_are_no_part_of_the_crews_wage() -> None:
    _, basis = changed(YARD, ON, "wage", MORE)
    for key, one in basis.labor_classes.items():
        assert one.wage == ON.labor_classes[key].wage * (1 if one.own else Decimal("1.1"))


def test_a_jobs_own_margin_is_moved_where_it_has_one() -> None:
    own = replace(YARD, head=replace(YARD.head, own_margin=Decimal("0.2")))
    job, basis = changed(own, ON, "margin", MORE)
    assert (job.head.own_margin, basis.firm.margin) == (Decimal("0.21"), FIRM.margin)


def test_a_driver_that_is_none_changes_nothing() -> None:
    assert changed(YARD, ON, "moon", MORE) == (YARD, ON)
