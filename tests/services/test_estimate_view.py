"""What the estimate sheet shows is what was worked out: hours, crew days, orders, and what lacks a price."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from uuid import UUID

import pytest

from app.documents.formats import Formats
from app.services.estimate_lines import Row
from app.services.estimate_view import EstimateSheet, estimate_sheet, rows_of
from app.services.office import Office
from app.services.sheets import sheet
from tests.stocked import begun_job, stocked_basis, stocked_office


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    basis = stocked_basis()
    prices = {
        key: replace(one, pack=4.0, pack_name="pallet", delivery_cents=50_00) for key, one in basis.prices.items()
    }
    del prices["bedding-sand"]
    opened = stocked_office(tmp_path / "data", replace(basis, prices=prices))
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    return begun_job(office)


def shown(office: Office, job_id: UUID) -> EstimateSheet:
    return estimate_sheet(office, sheet(office, job_id), "zone")


def all_rows(office: Office, job_id: UUID) -> list[Row]:
    view = sheet(office, job_id)
    return [row for group in shown(office, job_id).groups for row in rows_of(view, group)]


def test_hours_by_zone_and_phase_and_crew_days_are_the_estimates(office: Office, yard: UUID) -> None:
    worked, told = sheet(office, yard).estimate, shown(office, yard)
    assert {one.key: one.hours for one in told.zone_hours} == {k: h for k, h in worked.hours_by_zone.items() if h}
    assert {one.key: one.hours for one in told.phases} == worked.hours_by_phase
    assert {one.key: one.price_cents for one in told.phases} == worked.price_by_phase
    days = {one.phase: one.days for one in worked.crew_days}
    assert {one.key: one.days for one in told.phases} == {key: days.get(key, 0) for key in worked.hours_by_phase}


def test_orders_tell_what_is_wanted_what_is_bought_in_packs_and_its_cost_delivered(office: Office, yard: UUID) -> None:
    view = sheet(office, yard)
    told = {one.figure: one for one in shown(office, yard).purchases}
    fmt = Formats(view.basis.firm.system, view.basis.firm.currency)
    assert len(told) == len(view.estimate.purchases) > 3
    for one in view.estimate.purchases:
        row = told[f"purchase:{one.material}:{one.phase}"]
        assert row.wanted == fmt.as_bought(one.wanted, one.unit)
        assert row.ordered == fmt.as_bought(one.bought, one.unit) + (f" ({one.packs} pallet)" if one.priced else "")
        assert row.cost == fmt.money(one.total_cents)
        assert row.priced == (one.material != "bedding-sand")
    order = [(one.phase, one.supplier, one.title) for one in shown(office, yard).purchases]
    assert order == sorted(order)


def test_lines_without_a_price_are_marked_and_named_once_with_what_waits_for_them(office: Office, yard: UUID) -> None:
    told = shown(office, yard)
    unmarked = {row.key for row in all_rows(office, yard) if not row.priced}
    assert unmarked == {"bedding-sand"}
    assert [(one.key, one.kind) for one in told.unpriced] == [("bedding-sand", "material")]
    assert told.unpriced[0].waiting == (told.unpriced[0].title,)
    fmt = Formats(office.firm().system, office.firm().currency)
    cents = [line.cents for line in sheet(office, yard).estimate.lines]
    assert sorted(row.cost for row in all_rows(office, yard)) == sorted(fmt.money(one) for one in cents)


def test_missing_wage_is_told_once_for_all_that_its_people_do(tmp_path: Path) -> None:
    basis = stocked_basis()
    people = {key: one for key, one in basis.labor_classes.items() if key != "hardscape"}
    office = stocked_office(tmp_path / "other", replace(basis, labor_classes=people))
    told = shown(office, begun_job(office)).unpriced
    assert [(one.key, one.kind, one.unit) for one in told] == [("hardscape", "labor", "hour")]
    assert len(told[0].waiting) > 1
    office.database.close()


def test_only_works_of_the_whole_job_are_offered_to_add(office: Office, yard: UUID) -> None:
    told = shown(office, yard)
    assert {key for key, _ in told.addable} == {
        key for key, one in office.basis().assemblies.items() if one.measures == "job"
    }


def test_step_that_closes_the_cost_is_marked_once(office: Office, yard: UUID) -> None:
    told = [one.name for one in shown(office, yard).steps if one.closes_cost]
    assert told == ["contingency"]
