"""A job of three zones worked by hand, equal to the cent; what is missing is said; an edit recomputes what it touched."""

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from itertools import permutations

import pytest

from app.domain.basis import CostClass, Price
from app.domain.costing.estimate import estimate
from app.domain.costing.lines import WHOLE_JOB, lines_made
from app.domain.costing.range import Range
from app.domain.findings import Stop
from app.domain.job import Allowance, Job, Measured, Settlement
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.purchases import purchases_made
from tests.domain.costing.three_zones import (
    BASIS,
    BED,
    FIRST,
    JOB,
    PATH,
    SECOND,
    TERRACE,
    firm_with,
    key,
    without,
    work,
)

# Worked by hand, from the measures to the price. Zones: A 20 × 15 = 300, B 4 × 25 = 100, C 10 × 12 = 120 sq ft.
#
# bought     in place                        with loss             order               price            delivered
#   stone    (300 + 100) × 1/2 = 200 cu ft   × 140 × 1.08 / 2000   15.12 → 16 ton      × 32.50 = 520.00  + 95  =   615.00
#   pavers   (300 + 100) / 0.375 = 1,066.67  × 1.05 = 1,120        9.33 → 10 pallets   1,200 × 1.875     + 120 = 2,370.00
#   mulch    120 × 1/4 = 30 cu ft            / 27 = 1.11           least order 3 cu yd × 46.25                 =   138.75
#   permit                                                                                                     =   150.00
#   stone and pavers are shared 3 : 1 between A and B: 461.25 and 153.75, 1,777.50 and 592.50
#
# labor      hours × site factor of a way in 4 ft wide, 1.2     at 24 × 1.25 / 0.8 = 37.50 an hour
#   lay A    (300 × 0.07 + 2) × 1.2 = 27.6                      1,035.00
#   lay B    (100 × 0.07 + 2) × 1.2 = 10.8                        405.00
#   phase 1  38.4 h → 2 days of 27 h = 54; rest 15.6              585.00
#   spread C 120 × 0.03 + 1 = 4.6                                 172.50
#   phase 2  4.6 h → 1 day of 27 h; rest 22.4                     840.00
#   own      3 crew days × 1.5 h = 4.5 at 45 × 1.1 / 0.66 = 75: 337.50
LINES_BY_HAND = {
    ("stone", str(TERRACE)): 461_25,
    ("stone", str(PATH)): 153_75,
    ("paver", str(TERRACE)): 1_777_50,
    ("paver", str(PATH)): 592_50,
    ("mulch", str(BED)): 138_75,
    ("permit", WHOLE_JOB): 150_00,
    ("lay", str(TERRACE)): 1_035_00,
    ("lay", str(PATH)): 405_00,
    ("spread", str(BED)): 172_50,
    ("supervise", WHOLE_JOB): 337_50,
}
# materials 3,123.75 · labor 1,035 + 405 + 172.50 + 585 + 840 = 3,037.50 · own 337.50 · fee 150 → direct 6,648.75
# hours 27.6 + 10.8 + 15.6 + 4.6 + 22.4 + 4.5 = 85.5
STEPS_BY_HAND = {
    "direct": 6_648_75,
    "material tax": 218_66,  # 3,123.75 × 7 % = 218.6625
    "warranty": 99_73,  # 6,648.75 × 1.5 % = 99.73125
    "overhead": 1_176_38,  # 3,123.75 × 10 % + 3,037.50 × 20 % + 85.5 × 3 = 1,176.375
    "contingency": 332_44,  # 6,648.75 × 5 % = 332.4375
    "profit": 1_495_76,  # 8,475.96 × 0.15 / 0.85 = 1,495.7576
    "risks": 0,
    "adjustment": 0,
    "sales tax": 0,
    "allowances": 2_500_00,
    "rounding": 28,  # 12,471.72 to whole dollars
}
COST_BY_HAND = 8_475_96
PRICE_BY_HAND = 12_472_00


def steps(worked) -> dict[str, int]:
    return {step.name: step.cents for step in worked.build_up.steps}


def test_three_zones_by_hand_agree_to_the_cent():
    # Source: arithmetic by hand, in the tables above
    worked = estimate(JOB, BASIS)
    lines = {(line.key, line.zone): line.cents for line in worked.lines if line.kind in ("material", "task")}
    assert lines == LINES_BY_HAND
    idle = {line.phase: line.cents for line in worked.lines if line.kind == "idle"}
    assert idle == {str(FIRST): 585_00, str(SECOND): 840_00}
    assert steps(worked) == STEPS_BY_HAND
    assert worked.cost_cents == COST_BY_HAND
    assert worked.price_cents == PRICE_BY_HAND == worked.firm_price_cents
    assert worked.findings == ()
    assert sum(line.hours for line in worked.lines) == pytest.approx(85.5)
    assert [(one.days, pytest.approx(one.idle_hours)) for one in worked.crew_days] == [(2, 15.6), (1, 22.4)]


def test_selling_prices_by_hand_go_by_what_each_cell_brings():
    # The mulch: 138.75 direct, tax 9.7125, warranty 2.08125, overhead 13.875, contingency 6.9375 → 171.3563 at cost,
    # 171.3563 / 0.85 = 201.5956; each of the five shares may be a cent off its exact value
    worked = estimate(JOB, BASIS)
    mulch = next(at for at, line in enumerate(worked.lines) if line.key == "mulch")
    assert worked.selling[mulch] == pytest.approx(201_59.56, abs=5)


def sums(worked) -> list[int]:
    return [
        sum(table.values())
        for table in (
            worked.price_by_zone,
            worked.price_by_phase,
            worked.price_by_class,
            worked.price_by_work,
            worked.price_by_zone_and_phase,
        )
    ]


def test_sums_at_every_level_are_the_price():
    worked = estimate(JOB, BASIS)
    assert set(sums(worked)) == {PRICE_BY_HAND}
    assert sum(worked.cost_by_class.values()) == 6_648_75 + 2_500_00
    assert all(sum(step.shares) == step.cents for step in worked.build_up.steps)


def test_cells_without_their_lines_are_refused():
    worked = estimate(JOB, BASIS)
    torn = replace(worked, build_up=replace(worked.build_up, selling=worked.selling[:-1]))
    with pytest.raises(ValueError, match="shorter"):
        _ = torn.price_by_zone


def test_hours_by_zone_and_phase_are_those_worked_by_hand():
    worked = estimate(JOB, BASIS)
    # phase 1: 27.6 + 10.8, 15.6 of rest, 4.5 of the owner; phase 2: 4.6 and 22.4 of rest
    assert worked.hours_by_phase == {str(FIRST): pytest.approx(58.5), str(SECOND): pytest.approx(27)}
    assert worked.hours_by_zone == {
        str(TERRACE): pytest.approx(27.6),
        str(PATH): pytest.approx(10.8),
        str(BED): pytest.approx(4.6),
        WHOLE_JOB: pytest.approx(42.5),
    }
    assert worked.hours_by_work[str(key(101))] == pytest.approx(27.6)
    assert sum(worked.hours_by_work.values()) == pytest.approx(85.5)


@pytest.mark.parametrize("tax_mode", ["consumer", "retailer", "none"])
def test_all_of_the_price_but_profit_and_the_last_rounding_is_spent(tax_mode):
    worked = estimate(JOB, firm_with(tax_mode=tax_mode))
    found = steps(worked)
    assert worked.spent_cents == worked.price_cents - found["profit"] - found["rounding"]


def test_band_stretches_direct_cost_and_leaves_allowances_and_rounding_as_they_are():
    worked = estimate(JOB, BASIS)
    fixed = 2_500_00 + 28
    assert worked.as_price(0, 2 * 6_648_75) == Range(fixed, PRICE_BY_HAND, 2 * (PRICE_BY_HAND - fixed) + fixed)
    assert worked.as_price(6_648_75, 6_648_75) == Range(PRICE_BY_HAND, PRICE_BY_HAND, PRICE_BY_HAND)
    assert worked.as_price(7_000_00, 6_000_00) == Range(PRICE_BY_HAND, PRICE_BY_HAND, PRICE_BY_HAND)
    assert worked.as_price(-9_000_00, 6_648_75).low == 0


def test_band_of_a_part_is_as_wide_in_proportion_as_the_wholes():
    worked = estimate(JOB, BASIS)
    whole = worked.range
    part = worked.band_of(1_000_00)
    assert part == Range(
        round(1_000_00 * whole.low / whole.likely), 1_000_00, round(1_000_00 * whole.high / whole.likely)
    )
    nothing = estimate(replace(JOB, works=(), allowances=()), BASIS)
    assert nothing.band_of(500) == Range(500, 500, 500)


def test_job_of_allowances_alone_has_no_width():
    worked = estimate(replace(JOB, works=()), BASIS)
    assert worked.as_price(100, 200) == Range(2_500_00, 2_500_00, 2_500_00)
    assert worked.range == Range(2_500_00, 2_500_00, 2_500_00)


def test_every_missing_price_and_wage_is_counted_until_it_is_set_aside():
    assert estimate(JOB, BASIS).unpriced == 0
    assert estimate(JOB, without("prices", "stone", "mulch")).unpriced == 2
    both = replace(without("prices", "stone"), labor_classes=without("labor_classes", "crew").labor_classes)
    assert estimate(JOB, both).unpriced == 2
    aside = replace(JOB, allowances=(Allowance(id=key(202), title="Stone", cents=900_00, material="stone"),))
    assert estimate(aside, without("prices", "stone")).unpriced == 0
    unknown = replace(JOB, works=(*JOB.works, work(107, "no such recipe", BED)))
    assert estimate(unknown, BASIS).findings
    assert estimate(unknown, BASIS).unpriced == 0


def test_parts_with_something_unpriced_are_known_and_no_others():
    assert estimate(JOB, BASIS).lacking == frozenset()
    worked = estimate(JOB, without("prices", "mulch"))
    lines = [one for one in worked.lines if one.key == "mulch"]
    assert worked.materials_unpriced == {"mulch"}
    assert worked.lacking == {str(BED), str(SECOND), *(one.work_id for one in lines)}
    assert {str(TERRACE), str(PATH), str(FIRST)}.isdisjoint(worked.lacking)
    aside = replace(JOB, allowances=(Allowance(id=key(202), title="Mulch", cents=900_00, material="mulch"),))
    assert estimate(aside, without("prices", "mulch")).lacking == frozenset()
    unpaid = estimate(JOB, without("labor_classes", "crew"))
    assert {str(TERRACE), str(PATH)} <= unpaid.lacking


def test_rounding_is_a_cell_of_the_whole_job_in_the_last_phase():
    worked = estimate(JOB, BASIS)
    last = worked.lines[-1]
    assert (last.kind, last.zone, last.phase, last.cents) == ("rounding", WHOLE_JOB, str(SECOND), 0)
    assert worked.selling[-1] == 28
    assert worked.price_by_class["rounding"] == 28


def test_allowance_is_sold_at_its_printed_amount():
    with_it = estimate(JOB, firm_with(round_to_cents=1))
    less = estimate(replace(JOB, allowances=()), firm_with(round_to_cents=1))
    assert with_it.price_cents - less.price_cents == 2_500_00
    assert with_it.price_by_class[CostClass.ALLOWANCE] == 2_500_00


def test_retailer_taxes_the_selling_price_of_materials_only():
    base = firm_with(tax_mode="retailer", round_to_cents=1)
    worked = estimate(JOB, base)
    assert steps(worked)["material tax"] == 0
    taxed = [share for share, line in zip(worked.build_up.step("sales tax").shares, worked.lines, strict=True) if share]
    kinds = {
        line.cost_class
        for share, line in zip(worked.build_up.step("sales tax").shares, worked.lines, strict=True)
        if share
    }
    assert kinds == {CostClass.MATERIAL}
    # materials sold: (3,123.75 × (1 + 0.015 + 0.10 + 0.05)) / 0.85 = 4,281.3750; 7 % of it 299.6963
    assert sum(taxed) == pytest.approx(299_70, abs=2)


def test_no_tax_where_the_firm_has_none():
    worked = estimate(JOB, firm_with(tax_mode="none"))
    assert steps(worked)["material tax"] == steps(worked)["sales tax"] == 0


def test_high_third_is_never_below_the_likely_price():
    high = estimate(JOB, firm_with(rate_third="high"))
    # lay: 0.05 + 2/3 × 0.05 = 0.08333 an sq ft, set-up 1 + 2/3 × 2 = 2.3333: (300 × 0.083333 + 2.333333) × 1.2 = 32.8
    lay = next(line for line in high.lines if line.key == "lay" and line.zone == str(TERRACE))
    assert lay.hours == pytest.approx(32.8)
    assert high.price_cents >= PRICE_BY_HAND


def test_missing_price_is_said_and_stops_a_firm_price():
    worked = estimate(JOB, without("prices", "stone"))
    assert [one.rule for one in worked.findings] == ["price-missing"]
    assert worked.findings[0].stop is Stop.MONEY
    assert {line.priced for line in worked.lines if line.key == "stone"} == {False}
    assert worked.firm_price_cents is None
    assert worked.reasons == ("Crushed stone has no price yet.",)


def test_missing_wage_is_said_and_stops_a_firm_price():
    for basis in (
        without("labor_classes", "crew"),
        replace(
            BASIS, labor_classes={**BASIS.labor_classes, "crew": replace(BASIS.labor_classes["crew"], wage=Decimal(0))}
        ),
    ):
        worked = estimate(JOB, basis)
        assert [one.rule for one in worked.findings] == ["wage-missing"]
        assert {line.priced for line in worked.lines if line.key == "lay"} == {False}
        assert worked.firm_price_cents is None


def test_settled_money_stop_lets_the_price_be_firm():
    basis = without("prices", "stone")
    finding = estimate(JOB, basis).findings[0]

    settled = Settlement(
        id=key(301), finding=finding.key, by="Ilse", reason="client buys it", on=datetime(2027, 3, 1, tzinfo=UTC)
    )
    assert estimate(replace(JOB, settlements=(settled,)), basis).firm


def sketched(job: Job) -> Job:
    return replace(job, alternatives=tuple(replace(a, measured=Measured.SKETCH) for a in job.alternatives))


def test_sketched_zone_is_a_band_until_somebody_goes_on_with_a_reason():
    rough = sketched(JOB)
    assert estimate(rough, BASIS).firm_price_cents is None
    gone_on = replace(rough, head=replace(rough.head, firm_price_by="Ilse", firm_price_reason="walked it twice"))
    assert estimate(gone_on, BASIS).firm_price_cents == PRICE_BY_HAND
    assert estimate(replace(gone_on, head=replace(rough.head, firm_price_by="Ilse")), BASIS).firm_price_cents is None


def test_sketch_widens_the_band_on_both_sides():
    taped, rough = estimate(JOB, BASIS).range, estimate(sketched(JOB), BASIS).range
    assert rough.low < taped.low < taped.likely == rough.likely < taped.high < rough.high


def test_order_of_zones_works_and_materials_never_changes_a_cent():
    prices = {estimate(JOB, BASIS).price_by_work[str(one.id)] for one in JOB.works}
    for order in list(permutations(range(5)))[::17]:
        job = replace(
            JOB, works=tuple(JOB.works[at] for at in order), zones=tuple(JOB.zones[at] for at in order if at < 3)
        )
        worked = estimate(job, BASIS)
        assert steps(worked) == STEPS_BY_HAND
        assert {worked.price_by_work[str(one.id)] for one in JOB.works} == prices


def test_same_material_in_another_phase_is_an_order_of_its_own():
    later = replace(JOB, zones=(JOB.zones[0], replace(JOB.zones[1], phase_id=SECOND), JOB.zones[2]))
    stone = {one.phase: one for one in estimate(later, BASIS).purchases if one.material == "stone"}
    # 150 cu ft → 11.34 → 12 ton; 50 cu ft → 3.78 → 4 ton; one load each
    assert {phase: (one.bought, one.loads, one.delivery_cents) for phase, one in stone.items()} == {
        str(FIRST): (12.0, 1, 95_00),
        str(SECOND): (4.0, 1, 95_00),
    }


def test_nothing_in_the_job_is_no_price_and_never_firm():
    bare = replace(JOB, works=(), allowances=())
    worked = estimate(bare, BASIS)
    assert (worked.price_cents, worked.firm_price_cents, worked.lines) == (0, None, ())
    assert worked.reasons[0] == "Nothing is priced yet."


def test_allowance_without_zone_and_phases_stands_with_the_whole_job():
    job = replace(JOB, phases=(), works=(), allowances=(Allowance(id=key(5), title="Lights", cents=40_000),))
    worked = estimate(job, BASIS)
    assert worked.price_by_zone == {WHOLE_JOB: 40_000}
    assert worked.price_by_phase == {"": 40_000}


def test_edit_of_one_zone_makes_again_only_the_lines_and_orders_it_touched():
    job = replace(JOB, works=(*JOB.works, work(106, "bed", PATH)))
    estimate(job, BASIS)
    before, orders = lines_made(), purchases_made()
    estimate(job, BASIS)
    assert (lines_made(), purchases_made()) == (before, orders)
    grown = replace(job.alternatives[2], outline=rectangle(10, 13, at=(200, 0)))
    estimate(replace(job, alternatives=(*job.alternatives[:2], grown)), BASIS)
    assert lines_made() - before <= 2  # mulch and spreading of the bed
    assert purchases_made() - orders == 1


def test_price_of_one_material_makes_again_only_its_lines():
    estimate(JOB, BASIS)
    before = lines_made()
    dearer = replace(BASIS, prices={**BASIS.prices, "mulch": Price(material="mulch", unit_price=Decimal(60), least=3)})
    estimate(JOB, dearer)
    assert lines_made() - before == 1
