"""A job as a file in the browser: take it along, open one on Home, take the firm's own prices."""

import re
from uuid import UUID

import pytest

from app.services import jobs
from tests.services.yard_of_ours import priced, with_library, yard


@pytest.fixture
def job(office):
    priced(with_library(office), "base-stone-34")
    return yard(office)


def sent(web, content: bytes, **kwargs):
    return web.post(
        "/jobs/open-file",
        {"change_id": "00000000-0000-4000-8000-000000000001"},
        files={"file": ("job.zip", content)},
        **kwargs,
    )


def test_job_is_taken_along_and_opened_as_a_new_one(web, office, job):
    content = web.get(f"/jobs/{job}/job-file.zip")
    assert content.headers["content-type"] == "application/zip"
    answer = sent(web, content.content)
    assert answer.status_code == 303
    made = UUID(re.search(r"/jobs/([0-9a-f-]{36})/", answer.headers["location"])[1])
    assert made != job
    page = web.get(f"/jobs/{made}/build").text
    assert "the prices it came with" in page
    assert "Use my prices" in page


def test_taking_the_firms_prices_is_one_press_and_can_be_undone(web, office, job):
    answer = sent(web, web.get(f"/jobs/{job}/job-file.zip").content)
    made = UUID(re.search(r"/jobs/([0-9a-f-]{36})/", answer.headers["location"])[1])
    answer = web.post(
        f"/jobs/{made}/build/use-my-prices", {"change_id": "00000000-0000-4000-8000-000000000002"}, htmx=True
    )
    assert answer.headers["hx-redirect"] == f"/jobs/{made}/build"  # the whole sheet speaks of other prices now
    assert "Use my prices</button>" not in web.get(f"/jobs/{made}/build").text
    assert jobs.open_job(office, made).job.head.basis_file == ""


@pytest.mark.parametrize("content", [b"", b"hello", b"PK\x03\x04", b"{}"])
def test_other_file_is_refused_beside_the_field(web, job, content):
    answer = sent(web, content)
    assert answer.status_code == 422
    assert re.search(r'class="wrong"[^>]*>[^<]+(job file|file was chosen|zip)', answer.text)


def test_form_without_a_file_is_refused_in_a_sentence(web):
    assert web.post("/jobs/open-file", {"file": "typed"}).status_code == 422


def test_job_that_is_not_there_is_not_found(web):
    assert web.get("/jobs/00000000-0000-0000-0000-000000000001/job-file.zip").status_code == 404
