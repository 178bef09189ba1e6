"""Where a figure comes from: as a fragment beside the sheet, as a page without script, and a sentence for what is none."""

import re
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest

from app.documents.formats import Formats
from app.domain.takeoff.trace import Trace
from app.services.office import Office
from app.services.sheets import sheet
from app.web.routes.why import telling
from tests.stocked import begun_job, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    return begun_job(office)


def base_line(office: Office, job_id: UUID):
    lines = sheet(office, job_id).estimate.lines
    return next(line for line in lines if line.key == "base-stone" or "base" in line.title.lower())


def test_line_opens_to_measure_formula_numbers_and_source(web: Browser, office: Office, yard: UUID):
    line = base_line(office, yard)
    answer = web.get(f"/jobs/{yard}/why/{line.figure}", headers={"hx-request": "true"})
    assert answer.status_code == 200
    assert "<html" not in answer.text
    said = text_of(answer.text)
    assert line.title in said
    assert "What went in" in said
    assert "worked out as" in said
    assert "with the numbers" in said
    assert "Source:" in said
    assert re.search(r"\bbase\b", said)
    assert "sq ft" in said


def test_without_script_the_explanation_is_a_page_that_leads_back(web: Browser, office: Office, yard: UUID):
    answer = web.get(f"/jobs/{yard}/why/{base_line(office, yard).figure}")
    assert answer.status_code == 200
    assert "<html" in answer.text
    assert f'href="/jobs/{yard}/estimate"' in answer.text


@pytest.mark.parametrize(
    "figure",
    ["", "nonsense", "line:material:x:0", "trade:no such", "work:", "step:cheating", "amount:x:y", "zone:", "%00"],
)
def test_figure_that_is_none_is_a_sentence(web: Browser, yard: UUID, figure: str):
    answer = web.get(f"/jobs/{yard}/why/{figure}")
    assert answer.status_code == 404
    assert "not part of" in text_of(answer.text) or "no such page" in text_of(answer.text)


def test_figure_of_a_job_that_is_none_is_a_sentence(web: Browser):
    answer = web.get(f"/jobs/{UUID(int=1)}/why/price")
    assert answer.status_code == 404
    assert "no such job" in text_of(answer.text)


def test_sum_of_a_trade_is_told_by_its_lines(web: Browser, office: Office, yard: UUID):
    said = text_of(web.get(f"/jobs/{yard}/why/trade:own hours", headers={"hx-request": "true"}).text)
    assert "sum of what its lines sell for" in said
    assert "Supervision" in said or "Supervise" in said


@pytest.mark.parametrize(
    ("unit", "result", "told"),
    [
        ("USD", 1234.5, "$1,234.50"),
        ("USD/hour", 37.5, "$37.50 per hour"),
        ("cu ft", 54.0, "54 cu ft (2 cu yd)"),
        ("cu ft", 26.0, "26 cu ft"),
        ("lb", 4000.0, "4,000 lb (2 tons)"),
        ("sq ft", 252.0, "252 sq ft"),
        ("", 1.2, "1.2"),
    ],
)
def test_results_are_told_in_the_units_of_the_trade(unit: str, result: float, told: str):
    one = Trace(label="", expression="", filled="", result=result, unit=unit)
    assert telling(Formats("feet", "USD"))(one) == told
