"""What the client reads: zones add up to the contract sum, works and allowances to their zone, in whole money."""

from collections import defaultdict
from dataclasses import replace

from hypothesis import given, settings

from app.domain.costing.client_prices import _works, client_prices
from app.domain.costing.estimate import WHOLE_JOB, estimate
from app.domain.costing.lines import ALLOWANCE
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
    # the band 12,116.26 – 13,039.76 of 12,472 in proportion to 10,668: 10,363.72 – 11,153.64, to tens
    assert (prices.low, prices.high) == (10_360_00, 11_150_00)


def test_band_is_in_tens_and_parts_are_as_wide_in_proportion():
    prices = shown()
    assert (prices.low, prices.high) == (12_120_00, 13_040_00)
    # 1,000 × 12,120 / 12,472 = 971.78; × 13,040 / 12,472 = 1,045.54
    assert prices.band(1_000_00) == (970_00, 1_050_00)


def test_missing_price_makes_it_no_firm_price():
    assert not shown(basis=without("prices", "mulch")).firm


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
