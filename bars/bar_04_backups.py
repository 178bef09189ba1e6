"""Backups under load that are bad, and how long a large one takes to be put back.

A real server saves for a client without pause; beside it, backup after backup is made of the same data as
`outlay backup` makes it. One is bad when it does not open whole (every page, every link of the record, every file), or
lacks a save that was acknowledged before it was begun. Then one of 200 MB, mostly photos, is restored into an empty
folder: looked into, unpacked, put in place, its restore on record.
"""

import random
import re
import sqlite3
import tempfile
import threading
import time
import zipfile
from contextlib import closing
from itertools import count
from pathlib import Path
from uuid import UUID

from app.config import Settings
from app.db.files import FileStore
from app.domain.errors import OutlayError
from app.services import backups
from bars import Figure
from bars.saving import Page, opened, prepared
from tests.served import serving

BACKUPS, FEW = 50, 4
MEGABYTES, FEW_MEGABYTES = 200, 20
LONGEST = 60.0  # s


class Load:
    """A client that saves until it is told to stop; `newest` is the last number that was acknowledged."""

    def __init__(self, page: Page, job_id: UUID) -> None:
        self.newest = 0
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._save, args=(page, job_id))
        self._thread.start()

    def stop(self) -> None:
        """Save no more."""
        self._stop.set()
        self._thread.join()

    def _save(self, page: Page, job_id: UUID) -> None:
        for number in count(1):
            if self._stop.is_set():
                return
            if page.save(job_id, number):
                self.newest = number


def number_in(archive: Path) -> int:
    """The number of the newest save that a backup holds."""
    with tempfile.TemporaryDirectory() as folder:
        with zipfile.ZipFile(archive) as held:
            copy = held.extract("outlay.db", folder)
        with closing(sqlite3.connect(copy)) as raw:
            (note,) = raw.execute("SELECT private_note FROM client").fetchone()
    return int(re.sub(r"\D", "", note) or 0)


def bad_of(data: Path, job_id: UUID, times: int, folder: Path) -> tuple[int, int]:
    """How many of so many backups are bad, and how many saves went on beside them."""
    bad = 0
    with serving(data) as server, Page.of(server.address, job_id) as page:
        load, office = Load(page, job_id), opened(data)
        try:
            for number in range(times):
                target, least = folder / f"{number}.zip", load.newest
                try:
                    backups.back_up(office, target)
                    backups.look_into(target)
                    bad += int(number_in(target) < least)
                except OutlayError:
                    bad += 1
                target.unlink(missing_ok=True)
        finally:
            load.stop()
            office.database.close()
    return bad, load.newest


def seconds_to_restore(megabytes: int, folder: Path) -> float:
    """How long a backup of so many megabytes takes to be put into an empty folder."""
    data, chance = folder / "large", random.Random(1)
    prepared(data)
    store = FileStore(data / "files")
    for _ in range(megabytes // 5):
        store.keep(chance.randbytes(5_000_000))
    office = opened(data)
    backups.back_up(office, folder / "large.zip")
    office.database.close()
    began = time.monotonic()
    backups.restore(Settings(data=folder / "new"), folder / "large.zip")
    return time.monotonic() - began


def measure(few: bool) -> tuple[Figure, ...]:
    """Bad backups, and seconds of a restore."""
    times, megabytes = (FEW, FEW_MEGABYTES) if few else (BACKUPS, MEGABYTES)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        job_id = prepared(folder / "data")
        bad, saves = bad_of(folder / "data", job_id, times, folder)
        seconds = seconds_to_restore(megabytes, folder)
    note = f"{times} backups while {saves} saves were acknowledged"
    return (
        Figure(what="bad backups under load", value=bad, limit=0, note=note),
        Figure(what="restore into an empty folder", value=seconds, unit="s", limit=LONGEST, note=f"{megabytes} MB"),
    )
