"""The phase planner's page: asked, planned, refused, taken, undone."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.domain.plan.shapes import rectangle
from app.services import zones
from app.services.sheets import sheet
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.test_doors import DOOR, MONEY
from tests.web.yard import text_of


@pytest.fixture
def office(tmp_path: Path) -> Iterator:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office):
    job_id = begun_job(office)
    walk = zones.NewZone(title="Walk", kind="path", outline=rectangle(4, 14, at=(60, 0)), assembly="gravel-surface")
    zones.add_zone(office, job_id, walk, order())
    return job_id


def planned(web: Browser, yard, **typed):
    answer = web.post(f"/jobs/{yard}/planner/plan", {"count": "2", **typed})
    return web.get(answer.headers["location"]) if answer.status_code == 303 else answer


def price(office, yard) -> int:
    return sheet(office, yard).estimate.price_cents


def test_page_asks_for_the_jobs_phases_and_what_is_wanted(web: Browser, yard) -> None:
    page = text_of(web.get(f"/jobs/{yard}/planner").text)
    assert "How many phases" in page
    assert "Walk" in page


def test_budget_too_small_for_all_puts_what_can_wait_into_the_later_phase(web: Browser, office, yard) -> None:
    walk = next(zone for zone in sheet(office, yard).job.zones if zone.title == "Walk")
    wants = {f"want_{zone.id}": "must" for zone in sheet(office, yard).job.zones}
    budget = str(price(office, yard) // 100 - 100)
    answer = planned(web, yard, budget_1=budget, **{**wants, f"want_{walk.id}": "can wait"})
    assert answer.status_code == 200
    page = text_of(answer.text)
    assert "What phasing costs" in page
    assert all(MONEY.search(text_of(words)) for href, words in DOOR.findall(answer.text) if "/why/plan:" in href)
    for href, words in DOOR.findall(answer.text):
        if "/why/plan:" in href:
            assert text_of(words).strip().lstrip("−-") in text_of(web.get(href).text), href
    job = sheet(office, yard).job
    before = ([zone.phase_id for zone in job.zones], job.phases)
    taken = web.post(f"/jobs/{yard}/planner/take", {})
    assert taken.status_code == 303
    view = sheet(office, yard)
    phases = {phase.id: phase.number for phase in view.job.phases}
    assert {zone.title: phases[zone.phase_id] for zone in view.job.zones}["Walk"] == 2
    first = next(phase for phase in view.job.phases if phase.number == 1)
    assert view.estimate.price_by_phase[str(first.id)] <= int(budget) * 100
    web.post(f"/jobs/{yard}/undo", {"sheet": "phases"})
    after = sheet(office, yard).job
    assert ([zone.phase_id for zone in after.zones], after.phases) == before


def test_what_is_impossible_is_said_with_what_would_do(web: Browser, office, yard) -> None:
    page = text_of(planned(web, yard, budget_1="1,000", budget_2="1,000").text)
    assert "It can't be done so" in page
    assert "Budgets together" in page
    assert "$2,000" in page
    assert "What would do" in page


def test_days_reach_the_phases_and_far_ones_are_a_range(web: Browser, office, yard) -> None:
    walk = next(zone for zone in sheet(office, yard).job.zones if zone.title == "Walk")
    wants = {f"want_{zone.id}": "must" for zone in sheet(office, yard).job.zones}
    budget = str(price(office, yard) // 100 - 100)
    days = {"start_1": "2027-04-05", "start_2": "2027-09-06"}
    planned(web, yard, budget_1=budget, **days, **{**wants, f"want_{walk.id}": "can wait"})
    web.post(f"/jobs/{yard}/planner/take", {})
    phases = sorted(sheet(office, yard).job.phases, key=lambda one: one.number)
    assert [one.start for one in phases] == [date(2027, 4, 5), date(2027, 9, 6)]
    assert phases[1].firmness.value == "range"


@pytest.mark.parametrize(
    "typed",
    [
        {"count": "0"},
        {"count": "lots"},
        {"count": "2", "budget_1": "much"},
        {"count": "2", "start_1": "2027-06-01", "start_2": "2027-05-01"},
        {"count": "2", "budget_2": "-5"},
    ],
)
def test_nonsense_is_refused_in_a_sentence_and_kept_as_typed(web: Browser, office, yard, typed) -> None:
    before = sheet(office, yard).opened.counter
    answer = web.post(f"/jobs/{yard}/planner/plan", typed)
    assert answer.status_code == 422
    for name, text in typed.items():
        assert f'value="{text}"' in answer.text, name
    assert sheet(office, yard).opened.counter == before


def test_plan_of_a_job_that_was_changed_since_is_not_taken(web: Browser, office, yard) -> None:
    planned(web, yard)
    web.post(f"/jobs/{yard}/phases/phase/new", {"title": "Another"})
    answer = web.post(f"/jobs/{yard}/planner/take", {})
    assert answer.status_code in (409, 422)
    assert "Plan the phases again" in text_of(answer.text)
