"""Sales tax line by line: modes, classes, materials and works of their own; sums stay exact; labor only where said."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.basis import CostClass
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from app.domain.costing.price import Cells, build_up
from app.domain.costing.tax import explain_tax, rate_source, tax_groups, tax_points
from app.domain.costing.tax_rules import CLIENTS, EXEMPT, LABOR_TOO, OURS, TREATMENTS, class_rules
from app.domain.findings import Severity, Stop
from app.domain.job import PriceShown
from tests.domain.costing.three_zones import BASIS, FIRM, JOB, firm_with

# by hand (test_estimate): materials 3,123.75, labor 3,037.50, own hours 337.50, fee 150.00; rate 7 %
MATERIAL, LABOR, OWN, FEE = 3_123_75, 3_037_50, 337_50, 150_00


def steps(worked) -> dict[str, int]:
    return {step.name: step.cents for step in worked.build_up.steps}


def taxed(basis=BASIS, job=JOB):
    found = steps(estimate(job, basis))
    return found["material tax"], found["sales tax"]


def job_with(work: int, **fields):
    return replace(JOB, works=tuple(replace(one, **fields) if one.id.int == work else one for one in JOB.works))


def material_with(key: str, **fields):
    return replace(BASIS, materials={**BASIS.materials, key: replace(BASIS.materials[key], **fields)})


def test_mode_speaks_of_materials_alone():
    assert taxed() == (218_66, 0)  # 3,123.75 × 7 % = 218.6625
    assert taxed(firm_with(tax_mode="none")) == (0, 0)
    own, clients = taxed(firm_with(tax_mode="retailer"))
    assert own == 0
    assert clients > 218_66  # on the selling price


@pytest.mark.parametrize("mode", ["consumer", "retailer", "none"])
def test_labor_is_never_taxed_until_it_is_said(mode):
    rules = class_rules(replace(FIRM, tax_mode=mode))
    assert {rules[one] for one in CostClass if one is not CostClass.MATERIAL} == {EXEMPT}
    said = class_rules(replace(FIRM, tax_mode=mode, tax_by_class={"labor": "client"}))
    assert said[CostClass.LABOR] == CLIENTS
    assert said[CostClass.OWN_HOURS] == EXEMPT
    assert class_rules(replace(FIRM, tax_by_class={"labor": "ours", "allowance": "client"})) == class_rules(FIRM)


def test_mixed_rules_by_hand():
    cells = Cells(
        cents=[100_00, 200_00, 50_00, 70_00],
        classes=[CostClass.MATERIAL, CostClass.LABOR, CostClass.EQUIPMENT, CostClass.SUBCONTRACT],
        hours=[0.0, 4.0, 0.0, 0.0],
    )
    bare = {"warranty_reserve": Decimal(0), "contingency": Decimal(0), "overhead": {}, "overhead_per_hour": Decimal(0)}
    firm = replace(
        FIRM,
        **bare,
        margin=Decimal("0.2"),
        tax_mode="consumer",
        tax_rate=Decimal("0.06"),
        tax_by_class={"equipment": "ours", "labor": "client"},
    )
    built = build_up(cells, firm)
    # ours: (100 + 50) × 6 % = 9.00; cost 429.00; sold 429 / 0.8 = 536.25, labor's part 200 / 429 of it = 250.00
    assert built.step("material tax").cents == 9_00
    assert built.step("material tax").shares == (6_00, 0, 3_00, 0)
    assert built.step("sales tax").cents == 15_00  # 250.00 × 6 %
    assert built.step("sales tax").shares == (0, 15_00, 0, 0)
    assert built.price_cents == 551_25 == sum(built.selling)  # 536.25 + 15.00; there is no cell to round in


def test_rule_of_a_material_goes_before_its_class_and_of_a_work_before_both():
    key = next(
        line.key for line in estimate(JOB, BASIS).lines if line.kind == "material" and line.cost_class == "material"
    )
    direct = sum(line.cents for line in estimate(JOB, BASIS).lines if line.key == key)
    basis = material_with(key, tax="exempt", tax_reason="Resale certificate, asked in March")
    assert taxed(basis)[0] == round((MATERIAL - direct) * Decimal("0.07"))
    work = next(line.work_id for line in estimate(JOB, BASIS).lines if line.key == key)
    at = next(one.id.int for one in JOB.works if str(one.id) == work)
    job = job_with(at, tax=OURS, tax_reason="Repair")
    own = sum(line.cents for line in estimate(job, basis).lines if line.key == key and line.work_id == work)
    assert taxed(basis, job)[0] == round((MATERIAL - direct + own) * Decimal("0.07"))


def test_work_leaves_labor_alone_unless_it_says_labor_too():
    basis = firm_with(tax_mode="none")
    lines = [line for line in estimate(JOB, basis).lines if line.work_id == str(JOB.works[0].id)]
    assert {line.cost_class.value for line in lines} >= {"material", "labor"}
    without, too = taxed(basis, job_with(101, tax=CLIENTS)), taxed(basis, job_with(101, tax=LABOR_TOO))
    assert 0 < without[1] < too[1]
    assert taxed(BASIS, job_with(101, tax=EXEMPT))[0] < taxed()[0]


def test_rate_of_the_yard_goes_before_the_firms():
    job = replace(
        JOB, head=replace(JOB.head, tax_rate=Decimal("0.0625"), tax_place="Mill Race", tax_on=date(2027, 3, 1))
    )
    assert taxed(BASIS, job)[0] == 195_23  # 3,123.75 × 6.25 % = 195.234
    assert "Mill Race, as of Mar 1, 2027, typed on this job" in rate_source(job, BASIS.firm)
    untold = firm_with(tax_place="", tax_on=None)
    assert "place and day not told yet, firm settings" in rate_source(JOB, untold.firm)


TREATED = st.sampled_from(["", *TREATMENTS, LABOR_TOO])
CLASSES = st.dictionaries(st.sampled_from([one.value for one in CostClass]), st.sampled_from(list(TREATMENTS)))


@given(st.sampled_from(["consumer", "retailer", "none"]), CLASSES, st.lists(TREATED, min_size=5, max_size=5))
@settings(max_examples=60, deadline=None)
def test_mixed_jobs_add_up_and_every_line_is_in_one_group(mode, by_class, works):
    basis = firm_with(tax_mode=mode, tax_by_class=by_class)
    job = replace(JOB, works=tuple(replace(one, tax=tax) for one, tax in zip(JOB.works, works, strict=True)))
    worked = estimate(job, basis)
    assert sum(worked.selling) == worked.price_cents == sum(worked.price_by_zone_and_phase.values())
    groups = tax_groups(job, basis, worked)
    places = [at for one in groups for at in one.lines]
    assert len(places) == len(set(places))
    assert {line.cents for at, line in enumerate(worked.lines) if at not in places and line.kind != "allowance"} <= {0}
    for treatment, name in ((OURS, "material tax"), (CLIENTS, "sales tax")):
        inside = [one for one in groups if one.treatment == treatment]
        assert sum(one.tax_cents for one in inside) == steps(worked)[name]
        assert abs(sum(one.base_cents for one in inside) * FIRM.tax_rate - steps(worked)[name]) <= 1


def test_groups_say_why_and_open():
    basis = firm_with(tax_by_class={"labor": "exempt"})
    worked = estimate(JOB, basis)
    groups = tax_groups(JOB, basis, worked)
    assert [(one.treatment, one.why, one.base_cents) for one in groups] == [
        (OURS, "material: by the firm's mode", MATERIAL),
        (EXEMPT, "labor: as the firm says for this class of cost", LABOR),
        (EXEMPT, "own hours: not taxed unless it is said", OWN),
        (EXEMPT, "fee: not taxed unless it is said", FEE),
    ]
    base = explain_tax(JOB, basis, worked, "taxed:0")
    tax = explain_tax(JOB, basis, worked, "taxed:0:tax")
    assert (base.result, tax.result, tax.filled) == (3_123.75, 218.66, "7% of 3,123.75")
    assert explain_tax(JOB, basis, worked, "taxed:9") is explain_tax(JOB, basis, worked, "taxed:x") is None
    assert explain(JOB, basis, "step:material tax").result == 218.66


def test_print_that_takes_material_and_labor_apart_is_an_open_point():
    by_line = replace(JOB, head=replace(JOB.head, price_shown=PriceShown.LINE))
    worked = estimate(by_line, BASIS)
    assert tax_points(by_line, BASIS, worked) == ()  # every printed line holds material and labor
    key = BASIS.assemblies["bed"]
    bare = replace(BASIS, assemblies={**BASIS.assemblies, "bed": replace(key, tasks=())})
    worked = estimate(by_line, bare)
    found = tax_points(by_line, bare, worked)
    assert [one.rule for one in found] == ["tax-separated"]
    assert tax_points(JOB, bare, estimate(JOB, bare)) == ()
    untaxed = replace(bare, firm=replace(bare.firm, tax_mode="none"))
    assert tax_points(by_line, untaxed, estimate(by_line, untaxed)) == ()


def test_material_of_its_own_rule_without_a_reason_is_an_open_point():
    key = next(line.key for line in estimate(JOB, BASIS).lines if line.kind == "material")
    silent, told = material_with(key, tax="exempt"), material_with(key, tax="exempt", tax_reason="Resale")
    assert [one.rule for one in tax_points(JOB, silent, estimate(JOB, silent))] == ["tax-override-without-reason"]
    assert tax_points(JOB, told, estimate(JOB, told)) == ()


def rate_points(basis=BASIS, job=JOB):
    worked = estimate(job, basis)
    return [one for one in tax_points(job, basis, worked) if one.rule == "tax-rate-untold"]


def test_rate_without_place_or_day_is_an_open_point_of_the_firm():
    (both,) = rate_points(firm_with(tax_place="", tax_on=None))
    assert (both.where, both.severity, both.stop) == ("firm-tax", Severity.WARN, Stop.NONE)
    assert both.what == "Lines of this price are taxed at 7%: place and day of the rate are not told."
    (day,) = rate_points(firm_with(tax_place="Alder Ferry", tax_on=None))
    assert "day of the rate is not told" in day.what
    assert rate_points(firm_with(tax_place="Alder Ferry", tax_on=date(2027, 2, 1))) == []


def test_rate_of_nothing_that_nobody_vouches_for_stops_a_signature():
    (none,) = rate_points(firm_with(tax_rate=Decimal(0), tax_place=""))
    assert (none.severity, none.stop) == (Severity.STOP, Stop.MONEY)
    assert rate_points(firm_with(tax_rate=Decimal(0), tax_place="Alder Ferry", tax_on=date(2027, 2, 1))) == []


def test_where_nothing_is_taxed_nobody_is_asked_for_the_rate():
    assert rate_points(firm_with(tax_mode="none", tax_rate=Decimal(0))) == []
    own = replace(JOB, head=replace(JOB.head, tax_rate=Decimal("0.06")))
    assert [one.where for one in rate_points(job=own)] == ["tax"]
