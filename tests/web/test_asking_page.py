"""The firm's list of what is easily forgotten: own questions, other words, left out with a reason, undone."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from uuid import UUID

import pytest

from app.interchange.library_file import load_library
from app.services.forgotten import questions
from app.services.office import Office
from app.services.sheets import sheet
from tests.stocked import begun_job, stocked_basis, stocked_office
from tests.web.conftest import Browser

HERE = "/library/questions"


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    asking = replace(stocked_basis(), reminders=load_library().reminders)
    opened = stocked_office(tmp_path / "data", asking)
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    return begun_job(office)


def asked(office: Office, yard: UUID) -> dict[str, str]:
    rows = [row for _, own in questions(office, sheet(office, yard)).groups for row in own]
    return {row.key: row.asked.reminder.question for row in rows}


def post(web: Browser, way: str, **typed: str):
    change = web.get(HERE).text.split('name="change_id" value="')[1].split('"')[0]
    return web.post(f"{HERE}/{way}", {"change_id": change, **typed}, htmx=True)


def test_question_left_out_is_asked_of_no_job_and_says_who_and_why(web: Browser, office: Office, yard: UUID) -> None:
    assert "toilet" in asked(office, yard)
    refused = post(web, "toilet/leave-out", left_out=" ")
    assert refused.status_code == 422
    assert "The reason is missing" in refused.text
    answer = post(web, "toilet/leave-out", left_out="The yard is five minutes away")
    assert answer.status_code == 200
    assert "toilet" not in asked(office, yard)
    assert "The yard is five minutes away" in answer.text
    assert office.who() in answer.text.split("five minutes away")[1][:200]
    again = post(web, "toilet/ask-again", version="1")
    assert again.status_code == 200
    assert "toilet" in asked(office, yard)


def test_question_in_other_words_is_the_firms_until_the_shipped_one_is_wanted(
    web: Browser, office: Office, yard: UUID
) -> None:
    before = asked(office, yard)["toilet"]
    words = {"title": "Toilet", "question": "Who rents it?", "exclusion": "", "own_reason": "Shorter"}
    assert post(web, "toilet/words", **{**words, "own_reason": ""}).status_code == 422
    assert post(web, "toilet/words", **words).status_code == 200
    assert asked(office, yard)["toilet"] == "Who rents it?"
    assert office.basis().reminders["toilet"].priced_by == office.shipped.reminders["toilet"].priced_by
    assert post(web, "toilet/shipped").status_code == 200
    assert asked(office, yard)["toilet"] == before


def test_own_question_is_asked_where_it_may_apply_and_answers_like_any_other(
    web: Browser, office: Office, yard: UUID
) -> None:
    new = {"title": "Bees", "question": "Does anybody at the house react to stings?", "group": "On the site"}
    why = {"own_reason": "A hive in the hedge stopped a crew for a day"}
    assert post(web, "new", **new).status_code == 422
    assert post(web, "new", **{**new, **why, "when": "recipes:no-such"}).status_code == 422
    assert post(web, "new", **{**new, **why, "when": "recipes:unit-pavers", "prices": "permits"}).status_code == 200
    assert asked(office, yard)["bees"] == new["question"]
    page = web.get(f"/jobs/{yard}/forgotten").text
    assert new["question"] in page
    assert post(web, "new", **{**new, **why, "title": "Deer", "when": "recipes:hot-tub-pad"}).status_code in {200, 422}
    assert "deer" not in asked(office, yard)
    assert web.post("/firm/undo", {"back": HERE}).headers["location"] in {HERE, "/firm"}


def test_page_is_reached_from_the_library_and_from_a_job(web: Browser, yard: UUID) -> None:
    assert HERE in web.get("/library").text
    assert HERE in web.get(f"/jobs/{yard}/forgotten").text
    assert post(web, "no-such/leave-out", left_out="never mind").status_code == 404
