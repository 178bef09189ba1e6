"""Disks that are full, closed, failing or gone: a sentence each, nothing changed, and saving goes on afterwards.

Simulated where nothing better is at hand: a full database by SQLite's own page limit, a failing write by a limit of
the system on the size of files (SQLite calls that a disk I/O error). Real where the tests may mount: a small disk in
memory that is full, and one that is mounted to be read only.
"""

import os
import resource
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import event
from sqlalchemy.exc import OperationalError

from app.config import Settings
from app.db.disk import DiskTrouble
from app.db.files import FileStore, write_whole
from app.db.serving import alone
from app.domain.basis import Basis
from app.services import backups, jobs
from app.services.jobs import NewJob, Order, begin_job
from app.services.office import Office, open_office


def begin(office: Office, name: str = "Teodor Asante") -> None:
    begin_job(office, NewJob(name=name, street="5 Mill Race" * 400), Order(change_id=uuid4()))


def begin_many(office: Office) -> None:
    for _ in range(200):
        begin(office)


def fill(file: Path) -> None:
    handle = os.open(file, os.O_WRONLY | os.O_CREAT)
    with suppress(OSError):
        while True:
            os.write(handle, b"x" * 4096)
    os.close(handle)


@contextmanager
def largest_file(size: int) -> Iterator[None]:
    """No file of this process grows beyond a size."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def disk_of(folder: Path, words: str) -> Iterator[Path]:
    """A disk in memory of its own."""
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", words, "none", str(folder)]
    if os.geteuid() != 0 or subprocess.run(mount, check=False).returncode != 0:
        pytest.skip("disks can be mounted by root only")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", folder], check=True)


@pytest.mark.sqlite_file("the largest size of the file is set")
def test_full_database_is_said_and_what_was_there_stays(office: Office, job_id) -> None:
    office.database.close()
    engine = office.database._engine

    def small(connection, _record) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count={pages}")

    event.listen(engine, "connect", small)
    with pytest.raises(DiskTrouble, match=r"disk that holds .* is full\. Nothing was changed"):
        begin_many(office)
    event.remove(engine, "connect", small)
    office.database.close()
    begin(office, "Priya Lindqvist")
    assert backups.faults(office) == ()


@pytest.mark.sqlite_file("the log beside the file is cut short")
def test_write_that_fails_at_the_commit_leaves_no_lock_and_no_half(office: Office, job_id) -> None:
    wal = office.settings.data / "outlay.db-wal"
    before = jobs.open_job(office, job_id).job
    with largest_file(wal.stat().st_size + 1000), pytest.raises(DiskTrouble, match="gives errors"):
        begin(office)
    assert jobs.open_job(office, job_id).job == before
    begin(office)  # neither a lock nor an open transaction is left
    assert backups.faults(office) == ()


def test_file_that_the_disk_does_not_take_leaves_nothing_behind(tmp_path: Path) -> None:
    store = FileStore(tmp_path / "files")
    with largest_file(1000), pytest.raises(DiskTrouble, match="full"):
        store.keep(b"x" * 5000)
    assert list(store.names()) == []
    assert [one for one in tmp_path.rglob("*") if one.is_file()] == []
    assert store.read(store.keep(b"x" * 5000)) == b"x" * 5000


def test_file_is_written_aside_flushed_named_and_its_folder_flushed(tmp_path: Path, monkeypatch) -> None:
    done: list[str] = []
    fsync, replace = os.fsync, Path.replace
    monkeypatch.setattr(os, "fsync", lambda f: (done.append(str(Path(f"/proc/self/fd/{f}").readlink())), fsync(f)))
    monkeypatch.setattr(Path, "replace", lambda one, to: (done.append(f"named {to}"), replace(one, to)))
    write_whole(tmp_path / "one", b"content", aside=tmp_path / "aside")
    assert done == [str(tmp_path / "aside"), f"named {tmp_path / 'one'}", str(tmp_path)]


@pytest.mark.sqlite_file("the file lies on the full disk; a server has a disk of its own")
def test_really_full_disk_is_said_and_work_goes_on_once_there_is_room(tmp_path: Path) -> None:
    with disk_of(tmp_path / "stick", "size=3m") as disk:
        office = open_office(Settings(data=disk), Basis())
        begin(office)
        filler = disk / "filler"
        fill(filler)
        with pytest.raises(DiskTrouble, match="full"):
            begin_many(office)
        with pytest.raises(DiskTrouble, match="full"):
            FileStore(disk / "files").keep(b"y" * 100_000)
        filler.unlink(missing_ok=True)
        begin(office, "Priya Lindqvist")
        assert backups.faults(office) == ()
        office.database.close()


@pytest.mark.sqlite_file("the file lies on that disk; a server has a disk of its own")
def test_disk_mounted_to_be_read_is_said_at_once(tmp_path: Path) -> None:
    with disk_of(tmp_path / "stick", "size=3m") as disk:
        office = open_office(Settings(data=disk), Basis())
        office.database.close()
        subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
        with pytest.raises(DiskTrouble, match="may not write"):
            begin(office)
        with pytest.raises(DiskTrouble, match="may not write"), alone(disk):
            pass
        office.database.close()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_folder_closed_to_us_is_said(tmp_path: Path) -> None:
    (tmp_path / "closed").mkdir(mode=0o500)
    with pytest.raises(DiskTrouble, match="may not write"):
        open_office(Settings(data=tmp_path / "closed" / "data"), Basis())


def test_file_that_is_no_database_is_said(tmp_path: Path) -> None:
    (tmp_path / "outlay.db").write_bytes(b"no database at all" * 100)
    with pytest.raises(DiskTrouble, match="is damaged"):
        open_office(Settings(data=tmp_path), Basis())


@pytest.mark.sqlite_file("the error is one of the SQLite library")
def test_commit_that_fails_and_leaves_its_transaction_open_leaves_none_to_the_next(office: Office, job_id) -> None:
    def refuse(_connection) -> None:
        wrong = sqlite3.OperationalError("disk I/O error")
        wrong.sqlite_errorname = "SQLITE_IOERR_FSYNC"
        raise OperationalError("COMMIT", None, wrong)

    before = jobs.open_job(office, job_id).job
    event.listen(office.database._engine, "commit", refuse)
    with pytest.raises(DiskTrouble, match="gives errors"):
        begin(office)
    event.remove(office.database._engine, "commit", refuse)
    assert jobs.open_job(office, job_id).job == before
    begin(office)
    assert backups.faults(office) == ()
