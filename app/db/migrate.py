"""Bring a database forward to the tables this program knows."""

import shutil
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, func, inspect, select, table

from app.db.backup import copy_database
from app.db.disk import writing_to
from app.db.files import flush
from app.db.repositories import record, record_check
from app.db.rows import copy_rows, schema_of
from app.db.session import Database, DatabaseBroken
from app.domain.errors import OutlayError

COPY = "bringing-forward.db"
KEPT = "before-update-"  # and the migration it stood at: the database as the release before left it
LASTING = ("record", "record_edit", "revision", "revision_file", "firm", "client", "job", "site")
FAILED = (
    "The data could not be brought forward to this release. Nothing was changed: it is as the release before left it, "
    "and that release goes on working with it."
)


def migrate(database: Database, scripts: Path, *, to: str = "head") -> None:
    """Run every migration the database has not had; `to` stops at an earlier one.

    A database that holds something is brought forward on a copy, which takes its place only once it was checked; the
    one before is kept beside it. On PostgreSQL one transaction does it, and a copy of the rows is kept. Killed at any
    moment, the data is whole: as it was, or brought forward.
    Raises: DatabaseBroken when the database was made by a newer program, or when a migration fails.
    """
    config, known = _config(scripts), _known(scripts)
    target = known[0] if to == "head" else to
    current = _revision(database, known)
    if current is None:
        _upgrade(database, config, to)
    elif current != target:
        forward = _in_one_transaction if database.server else _on_a_copy
        try:
            forward(database, config, to, current)
        except OutlayError as wrong:
            raise DatabaseBroken(f"{FAILED} {wrong.sentence}") from wrong
        except Exception as wrong:
            raise DatabaseBroken(f"{FAILED} What went wrong: {str(wrong).splitlines()[0][:200]}.") from wrong


def copy_of(database: Database, target: Path, scripts: Path) -> None:
    """Copy a database while it is in use into one SQLite file, whatever it lies in: one consistent picture.

    Raises: CopyBroken when it cannot be read.
    """
    if database.server:
        _copy_rows_of(database, target, _config(scripts))
    else:
        copy_database(database.path, target)


def _copy_rows_of(database: Database, target: Path, config: Config) -> None:
    copy = Database(target)
    try:
        with database.read() as source:
            _upgrade(copy, config, schema_of(source))
            with copy.write() as connection:
                copy_rows(source, connection)
    finally:
        copy.close()


def upgrade_within(connection: Connection, scripts: Path, to: str) -> None:
    """Run migrations inside a transaction that the caller commits."""
    config = _config(scripts)
    config.attributes["connection"] = connection
    command.upgrade(config, to)


def _in_one_transaction(database: Database, config: Config, to: str, current: str) -> None:
    kept = _kept(database, current)
    _clear(kept)
    _copy_rows_of(database, kept, config)
    with database.write() as connection:
        before = _held(connection)
        config.attributes["connection"] = connection
        command.upgrade(config, to)
        _check(connection, before)
    for earlier in database.path.parent.glob(f"{KEPT}*.db"):
        if earlier != kept:
            earlier.unlink()


@cache
def _known(scripts: Path) -> tuple[str, ...]:
    """The migrations of this program, the newest first: read once, for there is a file for each."""
    return tuple(script.revision for script in ScriptDirectory.from_config(_config(scripts)).walk_revisions())


def _revision(database: Database, known: Sequence[str]) -> str | None:
    with database.read() as connection:
        current = MigrationContext.configure(connection).get_current_revision()
    if current is not None and current not in known:
        raise DatabaseBroken(
            "This data was written by a newer Outlay. Nothing was touched; start the newer version, "
            "or use another folder."
        )
    return current


def _upgrade(database: Database, config: Config, to: str) -> None:
    with database.write() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, to)


def _on_a_copy(database: Database, config: Config, to: str, current: str) -> None:
    copy = database.path.with_name(COPY)
    _clear(copy)
    try:
        copy_database(database.path, copy)
        forward = Database(copy)
        try:
            with forward.read() as connection:
                before = _held(connection)
            _upgrade(forward, config, to)
            with forward.read() as connection:
                _check(connection, before)
        finally:
            forward.close()
        _take_its_place(database, copy, current)
    finally:
        _clear(copy)


def _held(connection: Connection) -> dict[str, Any]:
    """What no migration may change: how many rows the tables of the office hold, and the newest entry's hash."""
    there = set(inspect(connection).get_table_names())
    counted = {
        name: connection.execute(select(func.count()).select_from(table(name))).scalar_one()
        for name in LASTING
        if name in there
    }
    return {**counted, "head": record.head(connection)}


def _check(connection: Connection, before: dict[str, Any]) -> None:
    """Raises: DatabaseBroken when it does not hold what was there, or does not hold together."""
    if connection.dialect.name == "sqlite":
        said = connection.exec_driver_sql("PRAGMA integrity_check").scalar_one()
        loose = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        if said != "ok" or loose:
            raise DatabaseBroken(f"The copy does not hold together: {said if said != 'ok' else loose[0]}.")
    if broken := record_check.verify(connection):
        raise DatabaseBroken(broken)
    after = _held(connection)
    lost = [name for name, held in before.items() if after.get(name) != held]
    if lost:
        raise DatabaseBroken(f"The copy does not hold what was there: {', '.join(lost)}.")


def _take_its_place(database: Database, copy: Path, current: str) -> None:
    """Put the checked copy in the place of the database, and keep what was there. Nobody else may have it open."""
    database.close()
    for path in (database.path, copy):
        with closing(sqlite3.connect(path)) as raw:
            busy, *_ = raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if busy:
            raise DatabaseBroken("Another program has the data open. Stop it, then start again.")
    with writing_to(database.path.parent):
        flush(copy)
        for earlier in database.path.parent.glob(f"{KEPT}*.db"):
            earlier.unlink()
        kept = _kept(database, current)
        shutil.copyfile(database.path, kept)
        flush(kept)
        copy.replace(database.path)
        flush(database.path.parent)


def _kept(database: Database, current: str) -> Path:
    """Where the database as the release before left it is kept."""
    return database.path.with_name(f"{KEPT}{current}.db")


def _clear(copy: Path) -> None:
    for name in (copy.name, f"{copy.name}-wal", f"{copy.name}-shm", f"{copy.name}-journal"):
        copy.with_name(name).unlink(missing_ok=True)


def is_current(database: Database, scripts: Path) -> bool:
    """Whether the database has had every migration this program knows."""
    with database.read() as connection:
        return MigrationContext.configure(connection).get_current_revision() == _known(scripts)[0]


def new_migration(database: Database, scripts: Path, message: str) -> None:
    """Write the migration that leads from the database as it is to the tables as declared (for developers)."""
    config = _config(scripts)
    with database.write() as connection:
        config.attributes["connection"] = connection
        number = len(list(ScriptDirectory.from_config(config).walk_revisions())) + 1
        command.revision(config, message, autogenerate=True, rev_id=f"{number:04d}")


def _config(scripts: Path) -> Config:
    config = Config()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config
