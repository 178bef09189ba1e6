"""A database moves whole between the SQLite file and a server: row by row, held against each other, or not at all."""

from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection

from app.db import postgres
from app.db.backup import CopyBroken
from app.db.migrate import upgrade_within
from app.db.rows import copy_rows, first_difference, schema_of, tables_of
from app.db.session import Database


def is_empty(database: Database) -> bool:
    """Whether nothing was ever put into a database: not even the tables are there."""
    with database.read() as connection:
        return not tables_of(connection)


def take_in(database: Database, copy: Path, scripts: Path) -> None:
    """Put all that a SQLite file holds in place of all that a database on a server holds, in one transaction.

    Raises: CopyBroken when what then stands there is not the same row by row; nothing was changed then.
    """
    with closing(Database(copy)) as held, held.read() as source, database.write() as connection:
        postgres.begin_anew(connection)
        upgrade_within(connection, scripts, schema_of(source))
        copy_rows(source, connection)
        _same(source, connection)


def hold_against(database: Database, copy: Path) -> None:
    """Raises: CopyBroken when a SQLite file does not hold what a database on a server does, row by row."""
    with closing(Database(copy)) as held, held.read() as one, database.read() as other:
        _same(one, other)


def _same(one: Connection, other: Connection) -> None:
    differs = first_difference(one, other)
    if differs:
        raise CopyBroken(f"What was copied is not the same as before: {differs}. Nothing was changed.")
