"""Crew sheets: one a zone and one for the general works; no money, supplier, wage or private note in any of them."""

from dataclasses import fields, replace
from datetime import date
from decimal import Decimal

import pytest

from app.domain.basis import Build, CostClass, LaborClass, Price, Supplier, TaskUse
from app.domain.codec import to_plain
from app.domain.costing.estimate import estimate
from app.domain.crew import CrewAmount, CrewSheet, CrewTask, CrewWork, Trade, crew_sheets
from app.domain.job import Answer, Existing, Fate, PlaceKind, Run, RunKind, Site
from tests.domain.takeoff.recipes import BASIS, PAVERS
from tests.domain.takeoff.yards import FIRST, JOB, key, work

CREW = LaborClass(key="crew", title="Crew", wage=Decimal(22))
PLANNED = replace(BASIS, labor_classes={"crew": CREW})
JOB_RECIPE = replace(PAVERS, key="move-in", title="Move in", measures="job", includes=(), parts=(), parameters={})


def on_the_job(**more):
    own = replace(JOB_RECIPE, tasks=(TaskUse(task="lay", amount="10*foot**2"),), **more)
    return replace(PLANNED, assemblies={**PLANNED.assemblies, own.key: own})


GENERAL = work(101, assembly="move-in", place=PlaceKind.JOB, place_id=None)


def test_a_zone_has_a_sheet_and_the_whole_job_one_before_them():
    found = crew_sheets(replace(JOB, works=(*JOB.works, GENERAL)), on_the_job())
    assert [(sheet.zone_id, sheet.letter) for sheet in found] == [(None, ""), (JOB.zones[0].id, "A")]


def test_zone_without_works_has_an_empty_sheet():
    (sheet,) = crew_sheets(replace(JOB, works=()), PLANNED)
    assert sheet.empty
    assert sheet.hours == 0


def test_hours_are_the_estimates_hours_of_the_zone():
    (sheet,) = crew_sheets(JOB, PLANNED)
    worked = estimate(JOB, PLANNED)
    assert sheet.hours == pytest.approx(sum(line.hours for line in worked.lines if line.kind == "task"))
    assert sheet.hours > 0


def test_what_is_counted_is_carried_whole():
    (sheet,) = crew_sheets(JOB, PLANNED)
    cobble = next(one for one in sheet.materials if one.title.startswith("Small paver"))
    # 768 units; 7 % lost and 2 % kept: 837.12 and 15.36
    assert (cobble.amount, cobble.kept) == (838, 16)


def test_own_hours_are_no_task_of_the_crew():
    own = replace(PLANNED, labor_classes={"crew": replace(CREW, own=True)})
    (sheet,) = crew_sheets(JOB, own)
    assert sheet.tasks == ()
    only_own = on_the_job()
    only_own = replace(only_own, labor_classes=own.labor_classes)
    assert len(crew_sheets(replace(JOB, works=(*JOB.works, GENERAL)), only_own)) == 1


def test_machines_hauling_and_hired_trades_stand_apart():
    classes = {"edging": CostClass.EQUIPMENT, "haul-soil": CostClass.HAULING, "joint-sand": CostClass.SUBCONTRACT}
    materials = {
        name: replace(one, cost_class=classes.get(name, one.cost_class)) for name, one in BASIS.materials.items()
    }
    (sheet,) = crew_sheets(JOB, replace(PLANNED, materials=materials))
    apart = [[one.title for one in part] for part in (sheet.tools, sheet.hauled, sheet.hired)]
    assert apart == [["Edge restraint, 8 ft"], ["Soil, hauled"], ["Joint sand"]]


def test_licensed_trade_is_named_with_what_it_does_also_from_an_include():
    dig = BASIS.assemblies["excavate-and-haul"]
    hired = replace(dig, build=Build(trade="licensed digger", order=("excavate",)))
    basis = replace(PLANNED, assemblies={**PLANNED.assemblies, dig.key: hired})
    (sheet,) = crew_sheets(JOB, basis)
    assert sheet.trades == (Trade(trade="licensed digger", what="Excavate and haul away"),)
    assert sheet.steps == {"excavate", "sleeves", "base", "edge", "lay"}


def test_cautions_of_the_recipe_and_of_what_it_includes_stand_once():
    dig = replace(BASIS.assemblies["excavate-and-haul"], cautions=("dig", "machines"))
    (sheet,) = crew_sheets(JOB, replace(PLANNED, assemblies={**PLANNED.assemblies, dig.key: dig}))
    assert sheet.cautions == ("dig", "silica", "lifting", "machines")


def test_private_line_nobody_asked_about_reads_not_known():
    asked = replace(JOB, site=Site(id=key(3), private_lines={"gas": Answer.YES, "well": Answer.NO}))
    answers = dict(crew_sheets(asked, PLANNED)[0].private_lines)
    assert (answers["gas"], answers["well"], answers["septic"]) == (Answer.YES, Answer.NO, Answer.UNKNOWN)


def test_lines_laid_elsewhere_are_not_on_a_zones_sheet():
    runs = (
        Run(id=key(21), title="Gas to the grill", kind=RunKind.GAS, length=42, zone_id=JOB.zones[0].id),
        Run(id=key(22), title="Fence", kind=RunKind.FENCE, length=10, zone_id=JOB.zones[0].id),
        Run(id=key(23), title="Drain", kind=RunKind.DRAIN, zone_id=key(99)),
    )
    (sheet,) = crew_sheets(replace(JOB, runs=runs), PLANNED)
    assert [(line.kind, line.title, line.length) for line in sheet.new_lines] == [("gas", "Gas to the grill", 42)]


def test_phase_of_the_works_is_named():
    phased = replace(JOB, phases=(replace(FIRST, title="Terrace", start=date(2027, 5, 10)),))
    assert crew_sheets(phased, PLANNED)[0].phases == ("1 Terrace",)


def test_what_stays_is_kept_safe_and_what_goes_is_not():
    things = (
        Existing(id=key(41), title="Oak", kind="tree", fate=Fate.PROTECTED),
        Existing(id=key(42), title="Slab", kind="concrete", fate=Fate.GOES),
    )
    assert crew_sheets(replace(JOB, existing=things), PLANNED)[0].keep_safe == ("Oak",)


def test_no_planted_private_value_is_in_any_sheet():
    marked = replace(
        JOB,
        head=replace(JOB.head, private_note="MARK-head", budget_high_cents=777_123_00, firm_price_reason="MARK-reason"),
        client=replace(JOB.client, private_note="MARK-client", phone="MARK-phone"),
        zones=(replace(JOB.zones[0], private_note="MARK-zone"),),
    )
    prices = {
        name: Price(material=name, unit_price=Decimal("777123.45"), supplier="MARK-supplier", note="MARK-note")
        for name in BASIS.materials
    }
    basis = replace(
        PLANNED,
        prices=prices,
        suppliers={"MARK-supplier": Supplier(key="MARK-supplier", title="MARK-title", note="MARK-remark")},
        labor_classes={"crew": replace(CREW, wage=Decimal("777.123"))},
        firm=replace(PLANNED.firm, margin=Decimal("0.777123")),
    )
    said = repr([to_plain(sheet) for sheet in crew_sheets(marked, basis)])
    assert "Small paver" in said
    assert "MARK" not in said
    assert "777" not in said


def test_no_field_of_a_crew_sheet_holds_money():
    names = {field.name for cls in (CrewSheet, CrewWork, CrewAmount, CrewTask, Trade) for field in fields(cls)}
    assert not {name for name in names for word in ("cent", "price", "cost", "wage", "supplier") if word in name}


def test_order_of_entry_never_changes_amounts_or_hours():
    two = (*JOB.works, work(102, parameters={"base": "8*inch"}))
    (one,) = crew_sheets(replace(JOB, works=two), PLANNED)
    (other,) = crew_sheets(replace(JOB, works=two[::-1]), PLANNED)
    amounts = [{part.title: pytest.approx(part.amount) for part in sheet.materials} for sheet in (one, other)]
    assert amounts[0] == amounts[1]
    assert one.hours == pytest.approx(other.hours)
