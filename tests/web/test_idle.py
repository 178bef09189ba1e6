"""What can wait is done once no request has come for a moment, and only then."""

import asyncio
import gc
from uuid import uuid4

import pytest

from app.services import jobs
from app.services.jobs import NewJob, Order
from app.services.office import Office
from app.web.idle import Collecting, Idle
from tests.web.conftest import Browser

MOMENT = 0.05


def test_works_wait_until_no_request_is_being_answered_for_a_moment() -> None:
    done: list[int] = []
    idle = Idle((lambda: done.append(1), lambda: done.append(2)), moment=MOMENT)

    async def served() -> None:
        idle.begins()
        idle.begins()
        idle.ends()
        await asyncio.sleep(MOMENT * 3)
        assert done == []  # one is still being answered
        idle.ends()
        idle.begins()  # another comes at once
        await asyncio.sleep(MOMENT * 3)
        assert done == []
        idle.ends()
        await asyncio.sleep(MOMENT * 3)
        assert done == [1, 2]
        await asyncio.sleep(MOMENT * 3)
        assert done == [1, 2]  # once, until another request was answered
        idle.begins()
        idle.ends()
        idle.stop()
        await asyncio.sleep(MOMENT * 3)
        assert done == [1, 2]

    asyncio.run(served())


@pytest.mark.sqlite_file("the log beside the file")
def test_log_goes_into_the_database_when_nobody_waits(office: Office) -> None:
    def held() -> int:
        return office.database.path.read_bytes().count(b"Priya Lindqvist")

    with office.database.flushed_beside():
        jobs.begin_job(office, NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
        assert held() == 0
        office.database.tidy()
        assert held() > 0


@pytest.mark.sqlite_file("the log beside the file")
def test_commits_do_not_stop_to_bring_the_log_in(office: Office) -> None:
    with office.database.flushed_beside():
        for _ in range(150):
            jobs.begin_job(office, NewJob(name="Teodor Asante", found_us="x" * 9_000), Order(change_id=uuid4()))
        assert office.database.path.read_bytes().count(b"Teodor Asante") == 0
        log = office.database.path.with_name(office.database.path.name + "-wal")
        assert log.stat().st_size > 1_000 * 4_096


def test_requests_are_counted_and_what_is_young_is_looked_through_at_an_idle_moment(web: Browser) -> None:
    idle = web.client.app.state.idle
    web.get("/prices")
    assert idle._answering == 0
    assert idle._timer is not None
    assert gc.get_threshold()[0] > 100_000  # not while somebody waits
    seen: list[int] = []

    def told(phase: str, info: dict[str, int]) -> None:
        if phase == "stop":
            seen.append(info["generation"])

    gc.callbacks.append(told)
    collecting = Collecting()
    for _ in range(40):
        collecting()
    gc.callbacks.remove(told)
    assert (seen.count(1), seen.count(2)) == (39, 1)
