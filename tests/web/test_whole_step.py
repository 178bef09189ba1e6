"""An edit that adds a crew day or a load says so above the sheets, until the next edit."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from app.services import book, jobs
from app.services.office import Office
from app.services.sheets import sheet
from tests.stocked import begun_job, order, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


def days(office: Office, job_id) -> int:
    return sum(one.days for one in sheet(office, job_id).estimate.crew_days)


def price(office: Office, job_id) -> int:
    return sheet(office, job_id).estimate.price_cents


def firm_version(office: Office) -> int:
    return book.own(office, "firm").version("firm", office.firm_id)


def said(page: str) -> str:
    return text_of(re.search(r'<p class="whole-step".*?</p>', page, re.DOTALL)[0])


def test_a_run_grown_foot_by_foot_says_the_day_it_adds_and_only_then(office: Office) -> None:
    web, job_id = Browser(office), begun_job(office)
    made = web.post(f"/jobs/{job_id}/plan/run/new", {"title": "Edging", "kind": "edging", "length": "10"}, htmx=True)
    assert made.status_code == 200
    run = jobs.open_job(office, job_id).job.runs[-1].id
    placed = {"place": "run", "place_id": str(run), "assembly": "edging-paver"}
    assert web.post(f"/jobs/{job_id}/plan/work/new", placed, htmx=True).status_code == 200
    told = 0
    for length in range(20, 400, 20):
        dearer = jobs.changed("firm", office.firm_id, 0, {"margin": "0.2" if length % 40 else "0.3"})
        jobs.save(office, None, (replace(dearer, version=firm_version(office)),), order())
        assert "crew day" not in said(web.get(f"/jobs/{job_id}/plan").text), "the book moved it, no edit"
        before, cost = days(office, job_id), price(office, job_id)
        version = jobs.open_job(office, job_id).version("run", run)
        page = web.post(f"/jobs/{job_id}/plan/run/{run}", {"version": version, "length": str(length)}, htmx=True).text
        more, by = days(office, job_id) - before, price(office, job_id) - cost
        assert ("crew day" in said(page)) is (more > 0), length
        if more:
            told += 1
            assert f"+${by / 100:,.2f}".removesuffix(".00") in said(page)
            assert f"({before + more}, not {before})" in said(page)
            assert said(page) == said(web.get(f"/jobs/{job_id}/estimate").text), "it stands on every sheet"
    assert 0 < told < 10


def test_nothing_is_said_on_first_sight_or_when_the_price_book_moved_it(office: Office) -> None:
    web, job_id = Browser(office), begun_job(office)
    assert said(web.get(f"/jobs/{job_id}/plan").text) == ""
    jobs.save(office, None, (jobs.changed("firm", office.firm_id, 1, {"margin": "0.5"}),), order())
    assert said(web.get(f"/jobs/{job_id}/plan").text) == ""
