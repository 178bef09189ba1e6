"""What was saved and comes once more, its answer lost, is not refused, whatever became of the thing since."""

from uuid import UUID, uuid4

import pytest

from app.services.jobs import open_job
from tests.web.conftest import ORIGIN, Browser


@pytest.fixture
def widened(stocked, ready) -> tuple[Browser, UUID, str, dict[str, str]]:
    """A zone was made wider, then somebody took it out: how the first was sent, and where to."""
    web = Browser(stocked)
    job = open_job(stocked, ready).job
    zone, way = job.zones[0].id, job.alternatives[0].id
    path = f"/jobs/{ready}/plan/alternative/{way}"
    outline = {"outline.shape": "rectangle", "outline.width": "20", "outline.depth": "16"}
    sent = {"version": "1", "change_id": str(uuid4()), **outline, "outline.left": "0", "outline.front": "0"}
    assert web.post(path, sent).status_code == 303
    assert web.post(f"/jobs/{ready}/plan/zone/{zone}/remove", {"version": "1"}).status_code == 303
    return web, ready, path, sent


def test_a_form_is_led_back_to_its_page(widened):
    web, job_id, path, sent = widened
    answer = web.post(path, sent, headers={"referer": f"{ORIGIN}/jobs/{job_id}/plan"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/jobs/{job_id}/plan")


def test_a_page_shows_how_it_stands_now(widened):
    web, _job_id, path, sent = widened
    answer = web.post(path, sent, htmx=True)
    assert (answer.status_code, answer.headers["hx-refresh"]) == (204, "true")


def test_what_was_never_saved_is_refused(widened):
    web, _job_id, path, sent = widened
    answer = web.post(path, {**sent, "change_id": str(uuid4())})
    assert answer.status_code == 404
    assert "not there (any more). Nothing was changed." in answer.text
