"""Tampering with what is kept that the program's own check does not see: `outlay verify`, and what reads files.

Rows of the record are changed, deleted, swapped, cut off at the end, forged with all hashes made anew (where a backup
knows better); so are a job file and the rows of a portable backup, also with its checksums made to fit. Each time the
data is opened anew and asked what does not hold. Not counted, for nothing could see it: what came after the newest
backup (hourly, at every signing), forged with every hash, counter and row beside it.
"""

import asyncio
import random
import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from uuid import UUID

from app.config import Settings
from app.domain.errors import OutlayError
from app.interchange.job_file import write_job_file
from app.services import backups, job_files, jobs, portable, proposals, revisions
from app.services.jobs import changed
from app.services.office import Office
from app.services.revisions import Act
from app.services.sheets import sheet
from bars import Figure
from bars.tampering import Raw, Way, in_database, of_archive, of_job_file, of_rows
from tests.releases.keeping import SIGNERS, STROKES, order, small_yard
from tests.stocked import stocked_office

TIMES, FEW = (600, 140, 60), (17, 10, 2)  # of rows of the database, job files, portable backups
ROWS = "rows/record.jsonl"


@dataclass(frozen=True, slots=True)
class Kept:
    """What is tampered with: a data folder, its newest entry that a backup knows, a job file, a portable backup."""

    data: Path
    newest: int
    job_file: bytes
    portable: bytes


def prepared(folder: Path) -> Kept:
    """A yard that was offered and signed, and changed after the backup that a signing makes."""
    office = stocked_office(folder / "data")
    job_id = small_yard(office)
    one = asyncio.run(proposals.offer(office, sheet(office, job_id), order("Offer")))
    for name in SIGNERS:
        act = Act(name=name, strokes=STROKES)
        one = asyncio.run(revisions.sign(office, sheet(office, job_id), one.id, act, order("Signed")))
    made = backups.back_up(office, backups.folder_of(office.settings) / "outlay-20270309-150000.zip", beside=True)
    _go_on(office, job_id)
    portable.write(office, folder / "portable.zip")
    exported = job_files.export_job(office, job_id)
    whole = backups.faults(office)
    office.database.close()
    if whole:
        raise RuntimeError(f"it does not hold before anybody tampers: {whole}")
    return Kept(office.settings.data, made.entries, exported, (folder / "portable.zip").read_bytes())


def _go_on(office: Office, job_id: UUID) -> None:
    for title in ("Terrace", "Court", "Dining court"):
        zone = jobs.open_job(office, job_id).job.zones[0]
        version = jobs.open_job(office, job_id).versions["zone", str(zone.id)]
        jobs.save(office, job_id, (changed("zone", zone.id, version, {"title": f"{title} "}),), order("Title"))
    jobs.undo(office, job_id, order("Undo").change_id)


def faults_after(kept: Kept, tamper: Callable[[Raw], str], folder: Path) -> tuple[str, bool]:
    """What was done to a copy of the data, and whether the check that a user runs sees it."""
    data = Path(tempfile.mkdtemp(dir=folder))
    shutil.copyfile(kept.data / "outlay.db", data / "outlay.db")
    for name in ("files", "backups"):
        (data / name).symlink_to(kept.data / name)
    with closing(sqlite3.connect(data / "outlay.db", isolation_level=None)) as raw:
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        done = tamper(raw)
    try:
        office = stocked_office(data)
        seen = bool(backups.faults(office))
        office.database.close()
    except OutlayError:
        seen = True
    shutil.rmtree(data)
    return done, seen


def unseen_in_database(kept: Kept, times: int, chance: random.Random, folder: Path) -> list[str]:
    """Tamperings with rows that were not seen, way after way."""
    ways = in_database(lambda _: kept.newest)
    found = []
    for number in range(times):
        done, seen = faults_after(kept, partial(_one_way, ways[number % len(ways)], chance), folder)
        found += [] if seen else [done]
    return found


def _one_way(way: Way, chance: random.Random, raw: Raw) -> str:
    return way(raw, chance)


def unseen_in_job_file(kept: Kept, times: int, chance: random.Random) -> list[str]:
    """Tamperings with the job file, alone or in its zip, that reading it does not refuse."""
    job = job_files.open_file(kept.job_file).job_file
    alone = write_job_file(job.job, job.basis)
    found = []
    for number in range(times):
        changed_file = of_job_file(alone, chance)
        zipped = of_archive(kept.job_file, "job.json", "", partial(_taken, changed_file), summed=False)
        try:
            job_files.open_file(zipped if number % 2 else changed_file)
            found.append(f"job file {number}")
        except OutlayError:
            pass
    return found


def _taken(new: bytes, _old: bytes) -> bytes:
    return new


def unseen_in_portable(kept: Kept, times: int, chance: random.Random, folder: Path) -> list[str]:
    """Tamperings with the rows of a portable backup that setting up a machine from it does not refuse."""
    found = []
    for number in range(times):
        summed = bool(number % 2)
        bad = of_archive(kept.portable, ROWS, portable.SUMS, lambda rows: of_rows(rows, chance), summed=summed)
        (folder / "bad.zip").write_bytes(bad)
        try:
            portable.restore(Settings(data=folder / f"new-{number}"), folder / "bad.zip")
            found.append(f"portable backup {number}{', checksums made anew' if summed else ''}")
        except OutlayError:
            pass
        shutil.rmtree(folder / f"new-{number}", ignore_errors=True)
    return found


def measure(few: bool) -> tuple[Figure, ...]:
    """How many were not seen."""
    rows, files, archives = FEW if few else TIMES
    chance = random.Random(20270309)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        kept = prepared(folder)
        unseen = unseen_in_database(kept, rows, chance, folder)
        unseen += unseen_in_job_file(kept, files, chance)
        unseen += unseen_in_portable(kept, archives, chance, folder)
    note = f"of {rows + files + archives}: {rows} in rows, {files} in job files, {archives} in portable backups"
    note += "".join(f"; {one}" for one in unseen[:5])
    return (Figure(what="tampering with the record that is not seen", value=len(unseen), limit=0, note=note),)
