"""A copy of the database while it is in use, and a look inside a copy before anything rests on it."""

import sqlite3
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, func, insert, select

from app.db.repositories import record, record_check
from app.db.session import Database
from app.db.tables.office import DEVICE_EPOCH, RECORD
from app.db.tables.things import TABLES
from app.domain.errors import OutlayError


class CopyBroken(OutlayError):
    """A copy of the database does not hold what it should."""

    status = 503


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """What a database holds: the firm, how many jobs and entries, the newest entry's hash and time, its epoch."""

    firm: str
    jobs: int
    entries: int
    head: str
    newest: str  # ISO, UTC; empty without entries
    epoch: int


def copy_database(path: Path, target: Path) -> None:
    """Copy a database page by page through its own backup call: one consistent picture, readers and writers go on.

    The copy is a single file. Raises: CopyBroken when the file cannot be read as a database.
    """
    try:
        with sqlite3.connect(f"file:{path}?mode=ro", uri=True) as source, sqlite3.connect(target) as copy:
            source.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
        source.close()
        copy.close()
    except sqlite3.Error as wrong:
        raise CopyBroken(f"The database could not be copied: {wrong}. Nothing was changed.") from wrong


def look_inside(path: Path) -> Inside:
    """Open a database that nobody else has open, check every page and every link of its record, and count.

    Raises: CopyBroken, in a sentence, when anything does not hold.
    """
    try:
        with sqlite3.connect(path) as raw:
            said = raw.execute("PRAGMA integrity_check").fetchone()[0]
        raw.close()
    except sqlite3.Error as wrong:
        raise CopyBroken(f"This is no database of Outlay's, or it is damaged: {wrong}.") from wrong
    if said != "ok":
        raise CopyBroken(f"The database is damaged: {said}.")
    database = Database(path)
    try:
        with database.read() as connection:
            broken = record_check.verify(connection)
            inside = _inside(connection)
    finally:
        database.close()
    if broken:
        raise CopyBroken(broken)
    return inside


def begin_epoch(connection: Connection, why: str, when: datetime, *, beyond: int = 0) -> int:
    """Begin a new epoch: what a device queued before it, or in one up to `beyond`, is stale, never applied unseen."""
    number = max(record.epoch(connection), beyond) + 1
    connection.execute(insert(DEVICE_EPOCH).values(number=number, began=when.isoformat(), why=why))
    return number


def _inside(connection: Connection) -> Inside:
    firm = connection.execute(select(TABLES["firm"].c.name).limit(1)).scalar_one_or_none()
    return Inside(
        firm=firm or "",
        jobs=connection.execute(select(func.count()).select_from(TABLES["job"])).scalar_one(),
        entries=connection.execute(select(func.count()).select_from(RECORD)).scalar_one(),
        head=record.head(connection),
        newest=record.newest_at(connection),
        epoch=record.epoch(connection),
    )
