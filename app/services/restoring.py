"""Unpacked data takes the place of what is there: on record first, what was there kept beside, all of it or nothing."""

import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import uuid4

from sqlalchemy.exc import SQLAlchemyError

from app.config import Settings
from app.db.backup import begin_epoch
from app.db.disk import writing_to
from app.db.files import FileStore, flush
from app.db.migrate import copy_of
from app.db.moving import is_empty, take_in
from app.db.repositories import devices, record, things
from app.db.session import Database, database_of
from app.domain.change import Change
from app.domain.errors import OutlayError

UNPACKED = "restoring-"
KEPT = "before-restore-"
PARTS = ("outlay.db", "outlay.db-wal", "outlay.db-shm", "files")


@contextmanager
def unpacking(settings: Settings) -> Iterator[Path]:
    """A folder on the disk of the data to unpack into; it goes with the block, and stays when killed in it."""
    with writing_to(settings.data):
        settings.data.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(prefix=UNPACKED, dir=settings.data) as folder:
            yield Path(folder)


def take_place(settings: Settings, unpacked: Path, made_at: str, now: datetime) -> Path:
    """Put `outlay.db` and `files/` of a folder in place of the data; where what was there is kept.

    A new epoch begins, beyond that of either, and the restore stands in the record before anybody sees it. A device
    that was revoked since stays revoked.
    Raises: DiskTrouble; what was there is then in its place again.
    """
    _on_record(unpacked / "outlay.db", settings, made_at, now)
    (unpacked / "files").mkdir(exist_ok=True)
    kept = _fresh(settings.data, now)
    if settings.server:
        _into_server(settings, unpacked, kept)
        return kept
    with writing_to(settings.data):
        try:
            _move(settings.data, kept)
            (unpacked / "files").replace(settings.files)
            (unpacked / "outlay.db").replace(settings.database)  # last: without it the data does not open
        except OSError:
            if not settings.database.exists():
                shutil.rmtree(settings.files, ignore_errors=True)
                _move(kept, settings.data)
            raise
        flush(settings.data)
    for left in settings.data.glob(f"{UNPACKED}*"):
        if left != unpacked:
            shutil.rmtree(left, ignore_errors=True)  # of a restore that was killed
    return kept


def _into_server(settings: Settings, unpacked: Path, kept: Path) -> None:
    """The same where the data lies on a server: files come beside those there, then one transaction takes the rows in.

    Killed at any moment it is as it was, or restored.
    """
    store, own = FileStore(settings.files), FileStore(unpacked / "files")
    with closing(database_of(settings)) as database, writing_to(settings.data):
        if not is_empty(database):
            kept.mkdir()
            copy_of(database, kept / "outlay.db", settings.migrations)
        for name in own.names():
            store.keep(own.read(name))
        take_in(database, unpacked / "outlay.db", settings.migrations)


def broken_off(settings: Settings) -> str:
    """What to do where the machine died while a restore put the data in place; empty where none did."""
    if settings.holds_data or not any(settings.data.glob(f"{UNPACKED}*")):
        return ""
    kept = sorted(settings.data.glob(f"{KEPT}*"))
    there = f" What was there before lies in {kept[-1]}." if kept else ""
    return f"A restore into {settings.data} was broken off. Do it again: outlay restore FILE.{there} Nothing is lost."


def _move(source: Path, target: Path) -> None:
    _settle(source / "outlay.db")
    for name in PARTS:
        if (source / name).exists():
            target.mkdir(exist_ok=True)
            (source / name).replace(target / name)


def _settle(database: Path) -> None:
    """Bring what stands in the log beside a database into it, so that the one file is whole."""
    if database.exists():
        with suppress(sqlite3.Error), closing(sqlite3.connect(database)) as raw:
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _fresh(data: Path, now: datetime) -> Path:
    """A folder that is not there yet, also where the clock was set back."""
    while (kept := data / f"{KEPT}{now:%Y-%m-%d-%H%M%S}").exists():
        now += timedelta(seconds=1)
    return kept


def _there(settings: Settings) -> tuple[int, Mapping[str, str]]:
    """The epoch of the data that is there, and the devices revoked in it; 0 and none where it cannot be read."""
    if not settings.holds_data:
        return 0, {}
    database = database_of(settings)
    try:
        with database.read() as connection:
            return record.epoch(connection), devices.shut_out(connection)
    except (OutlayError, SQLAlchemyError):
        return 0, {}
    finally:
        database.close()


def _on_record(path: Path, before: Settings, made_at: str, now: datetime) -> None:
    there, revoked = _there(before)
    database = Database(path)
    try:
        with database.write() as connection:
            why = f"Restored from the backup of {made_at[:16].replace('T', ' ')} UTC"
            number = begin_epoch(connection, why, now, beyond=there)
            devices.shut_out_again(connection, revoked)
            firm_id = things.any_firm(connection) or ""
            change = Change(id=uuid4(), job_id=None, edits=(), who="the owner", when=now, what=why)
            record.append(connection, firm_id=firm_id, kind="restore", change=change, answer={"epoch": number})
    finally:
        database.close()
    _settle(path)
    flush(path)
