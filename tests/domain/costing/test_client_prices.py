"""What the client reads: zones add up to the contract sum, works and allowances to their zone, in whole money."""

from collections import defaultdict
from dataclasses import replace

import pytest
from hypothesis import given, settings

from app.domain.basis import CostClass
from app.domain.costing.client_prices import _in_whole_money, _spread, _works, client_prices, set_aside_by_work
from app.domain.costing.estimate import estimate
from app.domain.costing.lines import ALLOWANCE, WHOLE_JOB
from app.domain.job import Firmness, Phase, PriceShown
from tests.domain.costing.random_jobs import bases, jobs
from tests.domain.costing.three_zones import BASIS, BED, FIRST, JOB, PATH, SECOND, TERRACE, firm_with, key, without

A, B, C = str(TERRACE), str(PATH), str(BED)
SPRING, LATER = str(FIRST), str(SECOND)


def shown(job=JOB, basis=BASIS):
    return client_prices(job, estimate(job, basis))


def by_line(job=JOB):
    return replace(job, head=replace(job.head, price_shown=PriceShown.LINE))


def second_open(job=JOB):
    """The job whose second phase is only a range."""
    return replace(job, phases=(job.phases[0], replace(job.phases[1], firmness=Firmness.RANGE)))


# Worked by hand from the cells of tests/domain/costing/test_estimate.py (zone, phase): A 7,390.51, B 1,725.14,
# C 474.54, whole job 1,552.35 in the first phase and 1,329.46 in the second; together 12,472.00.
#   first phase: 1,552.35 shared 739,051 : 172,514 → A + 1,258.57 = 8,649.08, B + 293.78 = 2,018.92
#   second: all of it to C → 1,804.00.  In whole money 8,649 + 2,019 + 1,804 = 12,472
def test_zones_carry_the_whole_job_of_their_own_phase_and_add_up_to_the_contract():
    prices = shown()
    assert prices.zones == {A: 8_649_00, B: 2_019_00, C: 1_804_00}
    assert prices.phases == {SPRING: 10_668_00, LATER: 1_804_00}
    assert prices.contract == prices.whole == 12_472_00
    assert prices.firm


def test_works_and_allowances_of_a_zone_add_up_to_its_price():
    prices = shown()
    fire_bowl = 2_500_00
    assert [prices.works[str(key(n))] for n in (101, 102, 103)] == [8_649_00 - fire_bowl, 2_019_00, 1_804_00]
    assert [prices.works[str(key(n))] for n in (104, 105)] == [0, 0]  # spread over the zones


def test_shown_by_line_the_whole_job_stands_apart():
    prices = shown(by_line())
    # 7,390.51 → 7,390; 1,725.14 → 1,725 (smallest remainders); 474.54 → 475; 2,881.81 → 2,882
    assert prices.zones == {A: 7_390_00, B: 1_725_00, C: 475_00, WHOLE_JOB: 2_882_00}
    # supervision : permit = 438.74 : 187.94 of 2,882
    assert [prices.works[str(key(n))] for n in (104, 105)] == [2_018_00, 864_00]


def test_odd_cents_stay_with_the_largest_part():
    prices = shown(basis=firm_with(round_to_cents=1))
    assert prices.contract == 12_471_72
    assert prices.phases == {SPRING: 10_667_72, LATER: 1_804_00}
    assert prices.zones == {A: 8_648_72, B: 2_019_00, C: 1_804_00}
    assert prices.works[str(key(101))] == 8_648_72 - 2_500_00


def test_phase_that_is_a_range_stands_outside_the_contract():
    prices = shown(second_open())
    assert prices.contract == 10_668_00
    assert prices.whole == 12_472_00
    assert prices.zones == {A: 8_649_00, B: 2_019_00}
    assert prices.phases == {SPRING: 10_668_00, LATER: 1_804_00}
    assert str(key(103)) not in prices.works
    # the band 12,116.53 – 13,045.21 of 12,472 in proportion to 10,668: 10,363.95 – 11,158.30, to tens
    assert (prices.low, prices.high) == (10_360_00, 11_160_00)


def test_band_is_in_tens_and_parts_are_as_wide_in_proportion():
    prices = shown()
    assert (prices.low, prices.high) == (12_120_00, 13_050_00)
    # 1,000 × 12,120 / 12,472 = 971.78; × 13,040 / 12,472 = 1,045.54
    assert prices.band(1_000_00) == (970_00, 1_050_00)


def test_missing_price_makes_it_no_firm_price_and_nothing_is_known():
    assert shown().known
    open_price = shown(basis=without("prices", "mulch"))
    assert not open_price.firm
    assert not open_price.known


def test_price_that_rounds_to_nothing_has_no_band():
    prices = shown(basis=firm_with(round_to_cents=100_000_00))
    assert (prices.contract, prices.whole, prices.low, prices.high) == (0, 0, 0, 0)


def test_whole_money_goes_by_largest_remainder_then_by_name_and_nothing_stays_nothing():
    # 301.00 shared 100.50 : 200.50 → equal remainders, the dollar goes to the first name
    expected = {"a": 101_00, "b": 200_00, "c": 0}
    assert _in_whole_money({"a": 100_50, "b": 200_50, "c": 0}) == expected
    assert _in_whole_money({"c": 0, "b": 200_50, "a": 100_50}) == expected


def test_parts_below_zero_stay_as_they_are():
    assert _in_whole_money({"a": 150, "b": -1}) == {"a": 150, "b": -1}
    assert _in_whole_money({}) == {}


def test_whole_job_is_spread_over_zones_that_have_a_price_by_name_where_it_is_even():
    assert _spread({"b": 100, "a": 100, WHOLE_JOB: 1}) == {"a": 101, "b": 100}
    assert _spread({"a": 1, "b": 0, WHOLE_JOB: 100}) == {"a": 101, "b": 0}
    assert _spread({"a": 0, WHOLE_JOB: 100}) == {"a": 0, WHOLE_JOB: 100}
    assert _spread({"a": 5}) == {"a": 5}


def test_nothing_planned_costs_nothing_and_has_no_band():
    empty = replace(JOB, zones=(), alternatives=(), works=(), phases=(), allowances=())
    prices = shown(empty)
    assert (prices.contract, prices.whole, prices.low, prices.high) == (0, 0, 0, 0)
    assert prices.band(500) == (500, 500)
    assert dict(prices.works) == {}


def test_phase_of_nothing_but_the_whole_job_keeps_it_under_the_job():
    permit_only = replace(
        JOB, zones=(), alternatives=(), works=tuple(one for one in JOB.works if one.id == key(105)), allowances=()
    )
    prices = shown(permit_only)
    assert set(prices.zones) == {WHOLE_JOB}
    assert prices.zones[WHOLE_JOB] == prices.contract == prices.works[str(key(105))] > 0


def test_allowance_greater_than_its_zone_leaves_no_work_below_zero():
    worked = estimate(JOB, BASIS)
    works = _works(worked, {A: 100_00, B: 2_019_00, C: 1_804_00}, set())
    assert works[str(key(101))] == 0


def two_works(*selling: int):
    """An estimate of nothing but one line of work b and one of work a, both in zone A."""
    worked = estimate(JOB, BASIS)
    line = next(one for one in worked.lines if one.kind == "material" and one.zone == A)
    lines = tuple(replace(line, work_id=name) for name in ("b", "a"))
    return replace(worked, lines=lines, build_up=replace(worked.build_up, selling=selling))


def test_works_share_their_zone_by_largest_remainder_then_by_name():
    assert _works(two_works(50, 50), {A: 1_00}, set()) == {"a": 1_00, "b": 0}
    assert _works(two_works(50, 50), {A: 1_07}, set()) == {"a": 1_07, "b": 0}  # odd cents with the first
    assert _works(two_works(300, 100), {A: 8_00}, set()) == {"a": 2_00, "b": 6_00}


def test_work_that_sells_for_nothing_or_less_has_no_part():
    assert _works(two_works(0, 100), {A: 100_00}, set()) == {"a": 100_00, "b": 0}
    assert _works(two_works(-70, 100), {A: 100_00}, set()) == {"a": 100_00, "b": 0}


def test_cells_without_their_lines_are_refused():
    worked = estimate(JOB, BASIS)
    torn = replace(worked, build_up=replace(worked.build_up, selling=worked.selling[:-1]))
    with pytest.raises(ValueError, match="shorter"):
        client_prices(JOB, torn)
    with pytest.raises(ValueError, match="shorter"):
        _works(torn, {A: 1_00}, set())
    with pytest.raises(ValueError, match="shorter"):
        set_aside_by_work(torn)


def test_what_the_book_sets_aside_is_summed_by_work():
    # pavers bought as an allowance: 840 + 280 units → 1,120 → 10 pallets of 120 at 1.875, 120.00 delivered
    aside = replace(BASIS.materials["paver"], cost_class=CostClass.ALLOWANCE)
    worked = estimate(JOB, replace(BASIS, materials={**BASIS.materials, "paver": aside}))
    held = set_aside_by_work(worked)
    assert set(held) == {str(key(101)), str(key(102))}
    assert sum(held.values()) == 1_200 * 1_875 // 10 + 120_00
    assert held[str(key(101))] == 3 * held[str(key(102))]  # 300 sq ft and 100 sq ft
    assert set_aside_by_work(estimate(JOB, BASIS)) == {}


def test_parts_of_one_work_set_aside_are_added():
    two = two_works(70, 50)
    lines = tuple(replace(one, work_id="a", cost_class=CostClass.ALLOWANCE) for one in two.lines)
    assert set_aside_by_work(replace(two, lines=lines)) == {"a": 1_20}
    assert set_aside_by_work(replace(two, lines=tuple(replace(one, kind="task") for one in lines))) == {}


def test_open_phase_without_anything_in_it_changes_nothing():
    later = Phase(id=key(53), number=3, firmness=Firmness.RANGE)
    assert shown(replace(JOB, phases=(*JOB.phases, later))) == shown()


@settings(max_examples=60, deadline=None)
@given(jobs(), bases())
def test_parts_add_up_to_the_cent_for_any_job(job, basis):
    worked = estimate(job, basis)
    prices = client_prices(job, worked)
    assert prices.contract == sum(prices.zones.values()) == worked.price_cents
    assert sum(prices.phases.values()) == worked.price_cents
    if min(prices.zones.values(), default=0) >= 0:
        largest = max(prices.zones.values(), default=0)
        assert all(cents % 100 == 0 or cents == largest for cents in prices.zones.values())


@settings(max_examples=60, deadline=None)
@given(jobs(), bases())
def test_works_of_a_zone_add_up_to_what_its_allowances_leave(job, basis):
    job = by_line(job)
    worked = estimate(job, basis)
    prices = client_prices(job, worked)
    own: dict[str, int] = defaultdict(int)
    for line in {one.work_id: one for one in worked.lines if one.kind != ALLOWANCE and one.work_id}.values():
        own[line.zone] += prices.works.get(line.work_id, 0)
    aside: dict[str, int] = defaultdict(int)
    for one in job.allowances:
        aside[str(one.zone_id) if one.zone_id else WHOLE_JOB] += one.cents
    for zone, cents in own.items():
        assert cents == max(0, prices.zones.get(zone, 0) - aside[zone])
