"""Acknowledged saves lost, and saves that are half there, after a serving process was killed in the middle of saving.

Each time: a real server, a client that saves as fast as it is answered (two fields of one thing; a new job of client,
job, site and first works), SIGKILL a moment after as many answers as are drawn, then the data is opened as the next
start would. A kill proves that the process loses nothing; that the disk has it is what bar 3 counts.
"""

import random
import re
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from uuid import UUID

import httpx2 as httpx

from app.db.repositories import record_check, things
from app.services import jobs
from app.services.office import Office
from bars import Figure, going_on
from bars.saving import Page, opened, prepared
from tests.served import serving

KILLS, FEW = 200, 3
MOST_SAVES = 12  # answered before the kill; drawn by their number, so that a busy machine is killed in the middle, too
MOMENT = 0.05  # s, at most, from the last of them to the kill: about as long as a save takes
LONGEST = 60.0  # s of saving
EACH_BEGINS = 5  # every so many saves a job is begun, the others change two fields


@dataclass
class Told:
    """What a client was told is saved: the newest number of the two fields, callers of jobs that were begun."""

    newest: int = 0
    callers: set[str] = field(default_factory=set)
    saves: int = 0
    enough: int = 0
    reached: threading.Event = field(default_factory=threading.Event)

    def answered(self) -> None:
        """One save more was answered."""
        self.saves += 1
        if self.saves >= self.enough:
            self.reached.set()


def save_until_killed(page: Page, job_id: UUID, numbers: Iterator[int], told: Told) -> None:
    """Save, one after the other, and note what was acknowledged, until the server is no more."""
    with suppress(httpx.TransportError):
        for number in numbers:
            if number % EACH_BEGINS == 0:
                if page.begin(number):
                    told.callers.add(caller(number))
            elif page.save(job_id, number):
                told.newest = number
            told.answered()


def caller(number: int) -> str:
    """The name a job of this number is begun for."""
    return f"Caller {number:06}"


@dataclass
class Looking:
    """What was looked at after earlier kills, so that only what is new is read again."""

    job_id: UUID
    known: set[str] = field(default_factory=set)

    def look(self, office: Office, told: Told) -> tuple[int, int]:
        """How many acknowledged saves are not there, and how many saves are there in part.

        Two fields that disagree, a job without all it begins with, a broken record or page are in part.
        """
        client = jobs.open_job(office, self.job_id).job.client
        new = [jobs.open_job(office, UUID(one)).job for one in self._new_ids(office)]
        missing = int(number_in(client.private_note) < told.newest) + len(
            told.callers - {one.client.name for one in new}
        )
        works = len(jobs.open_job(office, self.job_id).job.works)
        apart = int(number_in(client.phone[3:]) != number_in(client.private_note))
        part = sum(len(one.works) != works or not one.client.name for one in new)
        return missing, apart + part + broken(office)

    def _new_ids(self, office: Office) -> list[str]:
        with office.database.read() as connection:
            new = [one for one in things.all_job_ids(connection, office.firm_id) if one not in self.known]
        self.known.update(new)
        return new


def number_in(text: str) -> int:
    """The number that a save put into a field; 0 where none did."""
    return int(re.sub(r"\D", "", text) or 0)


def broken(office: Office) -> int:
    """Whether a page of the database or a link of its record does not hold."""
    with office.database.read() as connection:
        said = connection.exec_driver_sql("PRAGMA integrity_check").scalar_one()
        return int(said != "ok" or record_check.verify(connection) is not None)


@contextmanager
def office_after(data: Path) -> Iterator[Office]:
    """The data as the next start finds it."""
    office = opened(data)
    try:
        yield office
    finally:
        office.database.close()


def measure(few: bool) -> tuple[Figure, ...]:
    """Kill, look, and go on with the same data."""
    kills, chance = FEW if few else KILLS, random.Random(20270309)
    missing = half = saves = newest = 0
    numbers = iter(range(1, 10**6))
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        looking = Looking(prepared(data))
        for number in range(kills):
            going_on(number, kills, "kills")
            told = Told(newest=newest, enough=chance.randint(1, MOST_SAVES))
            with serving(data) as server, Page.of(server.address, looking.job_id) as page:
                saving = threading.Thread(target=save_until_killed, args=(page, looking.job_id, numbers, told))
                saving.start()
                told.reached.wait(LONGEST)
                time.sleep(chance.uniform(0.0, MOMENT))
                server.process.kill()
                saving.join()
            with office_after(data) as office:
                found = looking.look(office, told)
            missing, half, saves, newest = missing + found[0], half + found[1], saves + told.saves, told.newest
    note = f"{kills} kills, {saves} saves acknowledged"
    return (
        Figure(what="acknowledged saves lost by killing the server", value=missing, limit=0, note=note),
        Figure(what="saves half there after killing the server", value=half, limit=0, note=note),
    )
