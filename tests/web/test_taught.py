"""What jobs taught: finished work stands beside the bid, is taken task by task, undone, and never by itself."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from uuid import UUID

import pytest

from app.domain.costing.estimate import estimate
from app.domain.job import Stage
from app.services import taught
from app.services.jobs import open_job
from app.services.office import Office
from tests.signed_cheaply import bids, logged, read, signed, to_stage
from tests.stocked import begun_job, stocked_office
from tests.web.conftest import Browser
from tests.web.yard import text_of

DOOR = re.compile(r'class="door" href="([^"]+)"')
TASK = "lay-pavers"
HERE = f"/firm/taught/{TASK}"


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def web(office: Office) -> Browser:
    return Browser(office)


def built(office: Office, times: float, *, done: bool = True) -> UUID:
    """A signed job on which pavers took so many times what was bid."""
    job_id = begun_job(office)
    bid = bids(office, job_id)[TASK]
    signed(office, job_id)
    logged(office, job_id, {bid: bid.hours * times}, done=done)
    read(office)
    return job_id


def form_of(page: str) -> dict[str, str]:
    form = page.split(f'action="{HERE}"')[1].split("</form>", maxsplit=1)[0]
    return {name: unescape(value) for name, value in re.findall(r'name="(\w+)" value="([^"]*)"', form)}


def test_without_finished_work_the_page_says_what_feeds_it(web: Browser, office: Office) -> None:
    assert "No finished work says anything yet" in text_of(web.get("/firm/taught").text)
    built(office, 1.5, done=False)
    assert "No finished work says anything yet" in text_of(web.get("/firm/taught").text)
    assert web.get(HERE).status_code == 404


def test_hours_are_taken_line_by_line_and_undone(web: Browser, office: Office) -> None:
    draft = begun_job(office)
    finished = [built(office, times) for times in (1.5, 1.6, 1.4)]
    page = web.get("/firm/taught").text
    assert "Not taken yet" in text_of(page)
    before = office.basis().tasks[TASK]
    assert before.learned is None, "nothing is taken by itself"
    opened = open_job(office, draft)
    was = estimate(opened.job, opened.basis).price_cents
    one = web.get(HERE).text
    drafts = web.get(f"{HERE}/drafts").text
    shown = list(taught_moved(office))
    assert [row.job_id for row in shown] == [draft], "signed jobs and finished ones are not moved"
    assert shown[0].before == was
    assert f"{shown[0].after // 100:,}" in text_of(drafts)
    form = form_of(one)
    assert web.post(HERE, {**form, "mark": "other"}).status_code == 422
    assert office.basis().tasks[TASK] == before
    assert web.post(HERE, form).status_code in (200, 303)
    after = office.basis().tasks[TASK]
    assert after.hours[1] > before.hours[1]
    assert after.own_jobs == 3
    assert after.learned is not None
    assert after.learned.job_ids == tuple(str(one) for one in finished)
    opened = open_job(office, draft)
    assert estimate(opened.job, opened.basis).price_cents == shown[0].after, "the page said what it would move"
    assert web.post(HERE, form).status_code in (200, 303), "sent again it is the same change"
    assert office.basis().tasks[TASK] == after
    assert "Taken already" in text_of(web.get("/firm/taught").text)
    assert f"jobs {', '.join(str(n) for n in after.learned.job_numbers)}" in text_of(
        web.get(f"/library/task/{TASK}").text
    )
    assert web.post("/firm/undo", {"back": HERE}).status_code == 303
    assert office.basis().tasks[TASK].hours == before.hours
    assert office.basis().tasks[TASK].learned is None


def taught_moved(office: Office):
    import asyncio

    _, one = taught.lesson_of(office, TASK)
    return asyncio.run(taught.moved_by(office, {TASK: one.after}))


def test_stale_and_nonsense_take_nothing(web: Browser, office: Office) -> None:
    built(office, 1.5)
    web.get("/firm/taught")
    form = form_of(web.get(HERE).text)
    before = office.basis().tasks[TASK]
    built(office, 0.6)
    web.get("/firm/taught")
    answer = web.post(HERE, form)
    assert answer.status_code == 422
    assert "something else by now" in text_of(answer.text)
    assert office.basis().tasks[TASK] == before
    assert web.post("/firm/taught/moon", {"mark": "x"}).status_code == 404


def test_every_figure_opens_and_the_table_holds_every_job(web: Browser, office: Office) -> None:
    ids = [built(office, times) for times in (1.2, 0.9)]
    pages = web.get("/firm/taught").text + web.get(HERE).text
    doors = {unescape(one) for one in DOOR.findall(pages)}
    assert len(doors) >= 3
    assert [one for one in doors if web.get(one, headers={"hx-request": "true"}).status_code != 200] == []
    assert web.get("/firm/taught/why/moon:lay-pavers").status_code == 404
    rows = web.get("/firm/taught/table.csv").content.decode("utf-8-sig").splitlines()
    assert len(rows) == 1 + len(ids)


def test_a_closed_job_counts_without_anybody_saying_done_and_papers_are_read_once(office: Office) -> None:
    job_id = built(office, 1.3, done=False)
    to_stage(office, job_id, Stage.DONE)
    read(office)
    (found,) = (one for one in taught.taught(office).lessons if one.task.key == TASK)
    assert found.jobs[0].times == pytest.approx(1.3 * bid_over_expected(office, job_id), rel=0.02)
    from app.services import kept_papers

    assert kept_papers.unread(office) == []


def bid_over_expected(office: Office, job_id: UUID) -> float:
    """A bid counts with the careful pace; what is expected is the usual one."""
    task = office.basis().tasks[TASK]
    opened = open_job(office, job_id)
    worked = estimate(opened.job, opened.basis)
    hours = next(one for one, line in zip(worked.hours, worked.lines, strict=False) if one and line.key == TASK)
    assert task.hours[1] > 0
    return hours.priced / hours.likely
