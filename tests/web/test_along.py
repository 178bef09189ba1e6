"""Take along and bring back in the browser: two machines, marks on every sheet, questions with both values."""

import re
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest

from app.config import Settings
from app.services import jobs
from app.services.office import Office, open_office
from app.services.takings import of_job
from tests.services.test_taking_along import edit
from tests.services.yard_of_ours import LIBRARY, priced, with_library, yard
from tests.web.conftest import Browser

NAME = "the laptop in the bag"


@pytest.fixture
def job(office: Office) -> UUID:
    priced(with_library(office), "base-stone-34")
    return yard(office)


@pytest.fixture
def laptop(tmp_path: Path) -> Iterator[Browser]:
    there = open_office(Settings(data=tmp_path / "laptop"), LIBRARY.basis(), cautions=LIBRARY.cautions)
    opened = Browser(there)
    with opened.client:
        yield opened
    there.database.close()


def sent(web: Browser, path: str, content: bytes):
    return web.post(path, {}, files={"file": ("job.zip", content)})


@pytest.fixture
def away(web: Browser, laptop: Browser, job: UUID) -> Browser:
    """The job taken along and opened on the laptop."""
    assert web.post(f"/jobs/{job}/along", {"name": NAME}).status_code == 303
    page = web.get(f"/jobs/{job}/along").text
    file = web.get(re.search(r'href="(/jobs/[^"]+\.zip)"', page)[1])
    assert file.headers["content-type"] == "application/zip"
    answer = sent(laptop, "/jobs/open-file", file.content)
    assert answer.headers["location"] == f"/jobs/{job}/along"
    return laptop


def back_file(laptop: Browser, job: UUID) -> bytes:
    page = laptop.get(f"/jobs/{job}/along").text
    return laptop.get(re.search(r'href="(/jobs/[^"]+/back\.zip)"', page)[1]).content


def test_job_that_is_away_is_marked_on_home_and_on_every_sheet_of_both(web: Browser, away: Browser, job: UUID) -> None:
    assert f"taken along to {NAME}" in web.get("/").text
    assert "taken along on" in away.get("/").text
    for sheet in ("client", "site", "plan", "palette", "checks", "estimate", "phases", "proposal", "build", "history"):
        assert f"Taken along to {NAME}" in web.get(f"/jobs/{job}/{sheet}").text
        assert "It goes back there." in away.get(f"/jobs/{job}/{sheet}").text
    assert "taken-along" not in web.get(f"/show/{job}").text  # the client sees none of it
    assert NAME not in web.get(f"/field/{job}").text


def test_what_comes_back_is_looked_into_and_taken_in_with_the_value_that_was_picked(
    web: Browser, away: Browser, job: UUID
) -> None:
    zone = jobs.open_job(web.office, job).job.zones[0]
    edit(web.office, job, "zone", zone.id, title="Dining terrace, upper")
    edit(away.office, job, "zone", zone.id, title="Supper terrace")
    edit(away.office, job, "job", job, next_step="Send the proposal", budget_high_cents=90_000_00)
    answer = sent(web, f"/jobs/{job}/along/bring-back", back_file(away, job))
    brought = answer.headers["location"]
    page = web.get(brought).text
    for words in ("Dining terrace, upper", "Supper terrace", "Send the proposal", "$90,000", "edit zone"):
        assert words in page
    assert jobs.open_job(web.office, job).job.zones[0].title == "Dining terrace, upper"  # nothing yet
    form = {"version": re.search(r'name="version" value="(\d+)"', page)[1]}
    refused = web.post(brought, form)
    assert refused.status_code == 422
    assert "Choose one of the two values" in refused.text
    pick = re.search(r'name="(pick:[^"]+)"', page)[1]
    taken = web.post(brought, {**form, pick: "away"}, follow=False)
    assert taken.headers["location"] == f"/jobs/{job}/along"
    held = jobs.open_job(web.office, job).job
    assert (held.zones[0].title, held.head.next_step) == ("Supper terrace", "Send the proposal")
    assert "Taken along to" not in web.get(f"/jobs/{job}/client").text
    assert "Came back" in web.get(f"/jobs/{job}/along").text
    history = web.get(f"/jobs/{job}/history").text
    assert "Brought back from" in history
    assert "What was done there (2)" in history
    again = web.get(sent(web, f"/jobs/{job}/along/bring-back", back_file(away, job)).headers["location"]).text
    assert "All of this came back before" in again


def test_file_that_comes_back_may_be_chosen_on_home_too(web: Browser, away: Browser, job: UUID) -> None:
    edit(away.office, job, "job", job, next_step="Call")
    answer = sent(web, "/jobs/open-file", back_file(away, job))
    assert f"/jobs/{job}/along/brought/" in answer.headers["location"]


@pytest.mark.parametrize("content", [b"", b"hello", b"PK\x03\x04"])
def test_other_file_is_refused_beside_the_field(web: Browser, away: Browser, job: UUID, content: bytes) -> None:
    answer = sent(web, f"/jobs/{job}/along/bring-back", content)
    assert answer.status_code == 422
    assert 'id="f-back-file-said"><p class="wrong">' in answer.text


def test_without_a_name_nobody_takes_it_along_and_without_a_reason_no_mark_is_lifted(web: Browser, job: UUID) -> None:
    answer = web.post(f"/jobs/{job}/along", {"name": ""})
    assert answer.status_code == 422
    assert "Say who or what takes it along" in answer.text
    web.post(f"/jobs/{job}/along", {"name": NAME})
    (one,) = of_job(web.office, job)
    answer = web.post(f"/jobs/{job}/along/{one.id}/lift", {"reason": ""})
    assert answer.status_code == 422
    assert "Say why" in answer.text
    assert web.post(f"/jobs/{job}/along/{one.id}/lift", {"reason": "It fell into a pond"}).status_code == 303
    page = web.get(f"/jobs/{job}/along").text
    assert "It will not come back: It fell into a pond" in page
    assert NAME not in web.get("/").text


def test_one_press_takes_along_once(web: Browser, job: UUID) -> None:
    form = {"name": NAME, "change_id": "00000000-0000-4000-8000-000000000007"}
    for _ in range(2):
        assert web.post(f"/jobs/{job}/along", form).status_code == 303
    assert len(of_job(web.office, job)) == 1


def test_what_is_not_there_is_not_found(web: Browser, job: UUID) -> None:
    other = "00000000-0000-0000-0000-000000000001"
    for path in (f"along/{other}.zip", f"along/{other}/back.zip", "along/brought/x", f"along/brought/{'f' * 64}"):
        assert web.get(f"/jobs/{job}/{path}").status_code == 404
