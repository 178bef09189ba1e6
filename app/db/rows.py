"""Every row of a database as plain values, table by table, and back: what a backup holds that no one engine reads."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, MetaData, Table, delete, insert, select

OWN = "alembic_version"  # the migrations' own table


def schema_of(connection: Connection) -> str:
    """The migration a database stands at."""
    return MigrationContext.configure(connection).get_current_revision() or ""


def tables_of(connection: Connection) -> list[Table]:
    """The tables as the database itself tells them, each after those it refers to."""
    told = MetaData()
    told.reflect(connection)
    return [table for table in told.sorted_tables if table.name != OWN]


def rows_of(connection: Connection, table: Table) -> Iterator[dict[str, Any]]:
    """The rows of a table, in the order of its key."""
    for row in connection.execute(select(table).order_by(*table.primary_key.columns)).mappings():
        yield dict(row)


def put_rows(connection: Connection, table: Table, rows: Iterable[Mapping[str, Any]]) -> int:
    """Put rows into a table of a database just made, in place of what the migrations put there; how many they were."""
    put = 0
    if connection.execute(select(table).limit(1)).first() is not None:
        connection.execute(delete(table))
    for row in rows:
        connection.execute(insert(table), dict(row))
        put += 1
    return put
