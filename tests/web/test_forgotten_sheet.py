"""The page Nothing forgotten: asked, priced by one tap, not needed with a reason, left to the client and printed."""

from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from uuid import UUID

import pytest

from app.interchange.library_file import load_library
from app.services import jobs, proposals
from app.services.forgotten import questions
from app.services.office import Office
from app.services.sheets import sheet
from tests.stocked import begun_job, stocked_basis, stocked_office
from tests.web.conftest import Browser


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    """An office whose library asks what small firms forget."""
    asking = replace(stocked_basis(), reminders=load_library().reminders)
    opened = stocked_office(tmp_path / "data", asking)
    yield opened
    opened.database.close()


@pytest.fixture
def yard(office: Office) -> UUID:
    return begun_job(office)


def state(office: Office, yard: UUID, key: str) -> str:
    rows = [row for _, own in questions(office, sheet(office, yard)).groups for row in own]
    return next(row.standing.value for row in rows if row.key == key)


def post(web: Browser, yard: UUID, key: str, way: str, **typed: str):
    form = {"change_id": "", **typed}
    page = web.get(f"/jobs/{yard}/forgotten").text
    form["change_id"] = page.split('name="change_id" value="')[1].split('"')[0]
    return web.post(f"/jobs/{yard}/forgotten/{key}/{way}", form, htmx=True)


def test_page_is_linked_from_checks_and_estimate_and_counts_what_is_open(web: Browser, yard: UUID) -> None:
    for key in ("checks", "estimate"):
        assert f"/jobs/{yard}/forgotten" in web.get(f"/jobs/{yard}/{key}").text
    assert "questions are open" in web.get(f"/jobs/{yard}/forgotten").text


def test_one_tap_adds_the_recipe_and_the_price_has_its_door(web: Browser, office: Office, yard: UUID) -> None:
    assert state(office, yard, "toilet") == "open"
    answer = post(web, yard, "toilet", "price")
    assert answer.status_code == 200
    assert state(office, yard, "toilet") == "priced"
    assert f"/jobs/{yard}/why/reminder:toilet" in answer.text
    assert web.get(f"/jobs/{yard}/why/reminder:toilet").status_code == 200
    jobs.undo(office, yard, UUID(int=1))
    assert state(office, yard, "toilet") == "open"


def test_not_needed_wants_a_reason_and_says_so_beside_the_field(web: Browser, office: Office, yard: UUID) -> None:
    refused = post(web, yard, "toilet", "answer", reply="not needed", reason=" ")
    assert refused.status_code == 422
    assert "say why it is not needed" in refused.text
    assert state(office, yard, "toilet") == "open"
    post(web, yard, "toilet", "answer", reply="not needed", reason="The pool house has one.")
    assert state(office, yard, "toilet") == "not needed"
    assert "The pool house has one." in web.get(f"/jobs/{yard}/forgotten").text
    post(web, yard, "toilet", "again")
    assert state(office, yard, "toilet") == "open"


def test_what_is_left_to_the_client_is_printed_in_his_words(web: Browser, office: Office, yard: UUID) -> None:
    post(web, yard, "toilet", "answer", reply="not needed", reason="The pool house has one.")
    post(web, yard, "key-and-gate", "answer", reply="by client", words="The side gate stays open on workdays.")
    printed = proposals.next_draft(office, sheet(office, yard)).offer.exclusions
    assert printed[-1] == "The side gate stays open on workdays."
    assert not [line for line in printed if "pool house" in line]
    page = unescape(web.get(f"/jobs/{yard}/proposal").text)
    assert page.count("The side gate stays open on workdays.") == 1  # printed, and not in the field of the other lines


def test_what_is_the_firms_own_care_cannot_be_left_to_the_client(web: Browser, office: Office, yard: UUID) -> None:
    refused = post(web, yard, "saw-water", "answer", reply="by client", words="You catch it.")
    assert refused.status_code == 422
    assert state(office, yard, "saw-water") == "open"


def test_answer_to_what_nobody_asks_is_not_found(web: Browser, yard: UUID) -> None:
    assert post(web, yard, "no-such", "answer", reply="not needed", reason="because").status_code == 404
    assert post(web, yard, "key-and-gate", "price").status_code == 404


def test_owner_goes_on_with_name_and_reason_until_the_list_is_another(web: Browser, office: Office, yard: UUID) -> None:
    point = next(one for one in sheet(office, yard).findings if one.rule == "reminder-open")
    form = {"change_id": str(UUID(int=2)), "finding": point.key, "by": "Maren Oduya", "reason": "A small repair."}
    assert web.post(f"/jobs/{yard}/checks/settle", form, htmx=True).status_code == 200
    assert point.key not in {one.key for one in sheet(office, yard).findings}
    assert not [one for one in sheet(office, yard).estimate.reasons if "forgotten" in one]
    post(web, yard, "toilet", "answer", reply="not needed", reason="The pool house has one.")
    assert [one for one in sheet(office, yard).findings if one.rule == "reminder-open"]
