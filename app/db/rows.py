"""Every row of a database as plain values, table by table, and back: what a backup holds that no one engine reads."""

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice, zip_longest
from typing import Any

from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, MetaData, Table, delete, insert, select

from app.db import postgres

OWN = "alembic_version"  # the migrations' own table
AT_ONCE = 500  # rows by one statement


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


def copy_rows(source: Connection, target: Connection) -> None:
    """Put every row of one database into another just made, whose migrations are the same."""
    for table in tables_of(target):
        put_rows(target, table, rows_of(source, table))


def first_difference(one: Connection, other: Connection) -> str:
    """Compare two databases row by row; where they differ first, in words, or nothing."""
    if schema_of(one) != schema_of(other):
        return "they stand at different migrations"
    tables = {table.name: table for table in tables_of(other)}
    for table in tables_of(one):
        there = rows_of(other, tables[table.name])
        for count, (left, right) in enumerate(zip_longest(rows_of(one, table), there), 1):
            if left != right:
                return f"row {count} of {table.name}"
    return ""


def put_rows(connection: Connection, table: Table, rows: Iterable[Mapping[str, Any]]) -> int:
    """Put rows into a table of a database just made, in place of what the migrations put there; how many they were."""
    put = 0
    if connection.execute(select(table).limit(1)).first() is not None:
        connection.execute(delete(table))
    waiting = iter(rows)
    while some := [dict(row) for row in islice(waiting, AT_ONCE)]:
        connection.execute(insert(table), some)
        put += len(some)
    if connection.dialect.name == "postgresql":
        postgres.go_on_counting(connection, table)
    return put
