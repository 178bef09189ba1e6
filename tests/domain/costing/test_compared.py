"""Two estimates line by line: every line in one row, sums exact at every level, and why each moved."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.costing.compared import Sold, compared, sold_of
from app.domain.costing.estimate import estimate
from app.domain.job import Job
from app.domain.plan.shapes import rectangle
from tests.domain.costing.three_zones import BASIS, BED, JOB, TERRACE

WORKED = estimate(JOB, BASIS)
ORDER = [str(zone.id) for zone in JOB.zones]


def against(job: Job, basis=BASIS):
    other = estimate(job, basis)
    found = compared(sold_of(WORKED), sold_of(other), ORDER)
    assert found.before_cents == WORKED.price_cents
    assert found.after_cents == other.price_cents
    assert sum(zone.by for zone in found.zones) == found.by == sum(found.by_reason.values())
    for zone in found.zones:
        assert sum(row.by for row in zone.shown) + zone.further_by + zone.rest_by == zone.by
        assert (*zone.shown, *zone.further) == zone.changed
        assert len(zone.changed) + zone.unchanged == len(zone.rows)
    assert sum(len(zone.rows) for zone in found.zones) >= max(len(WORKED.lines), len(other.lines))
    return found


def zone(found, key):
    return next(one for one in found.zones if one.zone == str(key))


def test_the_same_job_is_the_same_line_by_line() -> None:
    found = against(JOB)
    assert found.by == 0
    assert found.by_reason == {}
    assert all(row.why == "as it was" for one in found.zones for row in one.rows)


def test_a_larger_zone_is_another_amount_in_that_zone() -> None:
    ways = tuple(
        replace(one, outline=rectangle(24, 15, at=(0, 0))) if one.zone_id == TERRACE else one
        for one in JOB.alternatives
    )
    found = against(replace(JOB, alternatives=ways))
    own = zone(found, TERRACE)
    assert {row.line.title for row in own.changed if row.why.startswith("amount")} >= {"Paver", "Lay"}
    assert own.by > 0
    assert [one.zone for one in found.zones][:3] == ORDER


def test_another_price_is_a_price_of_a_unit() -> None:
    mulch = replace(BASIS.prices["mulch"], unit_price=BASIS.prices["mulch"].unit_price * 2)
    found = against(JOB, replace(BASIS, prices={**BASIS.prices, "mulch": mulch}))
    changed = zone(found, BED).changed
    assert [(row.line.title, row.why) for row in changed] == [("Bark mulch", "price of a unit")]
    assert found.by_reason["price of a unit"] > 0


def test_a_zone_that_goes_takes_its_lines_and_one_that_comes_brings_them() -> None:
    less = replace(
        JOB,
        zones=JOB.zones[:2],
        alternatives=JOB.alternatives[:2],
        works=tuple(one for one in JOB.works if one.assembly != "bed"),
    )
    found = against(less)
    gone = zone(found, BED)
    assert {row.why for row in gone.rows} == {"gone"}
    assert gone.after_cents == 0
    back = compared(sold_of(estimate(less, BASIS)), sold_of(WORKED), ORDER)
    assert {row.why for row in zone(back, BED).rows} == {"new"}
    assert back.by == -found.by


def test_another_margin_moves_every_line_by_the_rest_only() -> None:
    found = against(JOB, replace(BASIS, firm=replace(BASIS.firm, margin=Decimal("0.3"))))
    assert set(found.by_reason) == {"by the rest"}
    assert all(not one.changed for one in found.zones)


@settings(max_examples=30, deadline=None)
@given(st.permutations(range(len(WORKED.lines))))
def test_order_of_lines_changes_nothing(order: list[int]) -> None:
    mixed = Sold(tuple(WORKED.lines[at] for at in order), tuple(WORKED.selling[at] for at in order))
    assert compared(mixed, sold_of(WORKED), ORDER).by_reason == {}


def test_other_amount_and_other_price_at_once_are_both() -> None:
    line = next(one for one in WORKED.lines if one.key == "mulch")
    other = replace(line, amount=line.amount * 2, cents=line.cents * 3)
    one, two = Sold((line,), (100,)), Sold((other,), (300,))
    row = compared(one, two, ORDER).zones[0].rows[0]
    assert (row.why, row.by) == ("amount and price", 200)
    same_price = Sold((replace(line, amount=line.amount * 2, cents=line.cents * 2),), (200,))
    assert compared(one, same_price, ORDER).zones[0].rows[0].why == "amount"


def test_lines_of_unequal_length_are_refused() -> None:
    with pytest.raises(ValueError, match="zip"):
        compared(Sold(WORKED.lines, (1,)), sold_of(WORKED), ORDER)
