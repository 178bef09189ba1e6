"""While the pages are served commits are flushed beside the work, and nothing is answered before they are on disk."""

import asyncio
import sys
import threading
from collections.abc import Iterator
from uuid import uuid4

import httpx2 as httpx
import pytest

from app.db import flushing
from app.db.flushing import NotOnDisk
from app.db.repositories import counters
from app.main import create_app
from app.services import jobs
from app.services.jobs import NewJob, Order
from app.services.office import Office
from tests.web.conftest import ORIGIN, Browser

pytestmark = [
    pytest.mark.sqlite_file("its log is flushed beside the work; a server answers a commit once it is on disk"),
    pytest.mark.on_disk,
]


class Disk:
    """A disk that takes its time: a flush ends when it is let go, or fails with what `fails` says."""

    def __init__(self) -> None:
        self.free = threading.Event()
        self.fails: OSError | None = None

    def flush(self, _handle: int) -> None:
        assert self.free.wait(10)
        if self.fails:
            raise self.fails


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Iterator[Disk]:
    slow = Disk()
    monkeypatch.setattr(flushing, "flush", slow.flush)
    yield slow
    slow.free.set()


def count_up(office: Office) -> None:
    with office.database.write() as connection:
        counters.raise_counter(connection, "test")


def safety(office: Office) -> int:
    with office.database.read() as connection:
        return int(connection.exec_driver_sql("PRAGMA synchronous").scalar() or 0)


def test_commits_wait_for_the_disk_again_once_the_pages_are_served_no_more(office: Office) -> None:
    full, normal = 2, 1
    assert safety(office) == full
    with office.database.flushed_beside():
        assert safety(office) == normal
    assert safety(office) == full
    assert office.database.reaching_disk is None


def test_each_commit_is_flushed_and_one_flush_stands_for_all_that_wait(office: Office, disk: Disk) -> None:
    with office.database.flushed_beside():
        flusher = office.database._flusher
        assert flusher is not None
        count_up(office)
        while not flusher.flushes:
            pass  # the first is under way: what is committed now needs another
        for _ in range(5):
            count_up(office)
        disk.free.set()
        waiting = office.database.reaching_disk
        assert waiting is not None
        waiting.result(10)
        assert flusher.flushes == 2
        assert office.database.reaching_disk is None
        count_up(office)
        assert (office.database.reaching_disk or waiting).result(10) is None
    assert flusher.flushes == 3


def test_flush_is_of_the_log_that_holds_the_commit(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[bytes] = []

    def read(handle: int) -> None:
        seen.append(flushing.os.pread(handle, 10_000_000, 0))

    monkeypatch.setattr(flushing, "flush", read)
    with office.database.flushed_beside():
        jobs.begin_job(office, NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
        office.database.close()
    assert any(b"Priya Lindqvist" in log for log in seen)


def test_answer_waits_until_what_it_shows_is_on_disk(office: Office, disk: Disk) -> None:
    async def served() -> None:
        transport = httpx.ASGITransport(create_app(office))
        async with httpx.AsyncClient(transport=transport, base_url=ORIGIN) as client:
            assert (await client.get("/prices")).status_code == 200
            count_up(office)
            asked = [asyncio.create_task(client.get("/prices")) for _ in range(2)]
            await asyncio.sleep(0.3)
            assert not any(one.done() for one in asked)
            disk.free.set()
            assert [(await one).status_code for one in asked] == [200, 200]

    with office.database.flushed_beside():
        asyncio.run(served())


def test_who_goes_away_does_not_stop_the_flush(office: Office, disk: Disk) -> None:
    async def left() -> None:
        transport = httpx.ASGITransport(create_app(office))
        async with httpx.AsyncClient(transport=transport, base_url=ORIGIN) as client:
            count_up(office)
            count_up(office)  # waits its turn
            asked = asyncio.create_task(client.get("/prices"))
            await asyncio.sleep(0.1)
            asked.cancel()
            await asyncio.gather(asked, return_exceptions=True)
            assert office.database.reaching_disk is not None
            assert not office.database.reaching_disk.cancelled()
            disk.free.set()
            assert (await client.get("/prices")).status_code == 200

    with office.database.flushed_beside():
        asyncio.run(left())


def test_disk_that_fails_is_said_and_nothing_more_is_taken(web: Browser, disk: Disk) -> None:
    disk.free.set()
    disk.fails = OSError(5, "Input/output error")
    answer = web.post("/jobs", {"name": "Teodor Asante", "change_id": str(uuid4())})
    assert answer.status_code == 503
    assert "The disk did not take what was last saved (Input/output error)" in answer.text
    assert "content-security-policy" in answer.headers
    disk.fails = None
    assert web.get("/prices").status_code == 503  # what is in memory may not be on disk: it is not shown either
    with pytest.raises(NotOnDisk):
        count_up(web.office)


def test_what_is_on_disk_is_known_while_an_answer_is_worked_out(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A computation that never lets go of the interpreter: the flush is over long before it."""
    monkeypatch.setattr(flushing, "flush", lambda _handle: None)
    usual = sys.getswitchinterval()
    with office.database.flushed_beside():
        assert sys.getswitchinterval() <= 0.001
        count_up(office)
        waits = 0
        while office.database.reaching_disk is not None and waits < 10_000_000:
            waits += 1
        assert office.database.reaching_disk is None
    assert sys.getswitchinterval() == usual
