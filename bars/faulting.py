"""Databases that cannot save just now: full, failing at the commit, held by another program; what must then hold."""

import errno
import os
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, closing, contextmanager
from functools import partial
from typing import Any

from sqlalchemy import Connection, ExceptionContext, event
from sqlalchemy.exc import OperationalError

from app.db import flushing
from app.services.office import Office
from app.web.addresses import AddressBook

SAFE = {"GET", "HEAD", "OPTIONS"}


@contextmanager
def no_commit(office: Office, name: str, words: str) -> Iterator[list[int]]:
    """Until the block ends no transaction that writes can be committed; the list tells how many tried."""
    tried: list[int] = []

    def refuse(connection: Connection) -> None:
        if connection.info.get("immediate"):
            tried.append(1)
            wrong = sqlite3.OperationalError(words)
            wrong.sqlite_errorname = name  # as the library names it
            raise OperationalError("COMMIT", None, wrong)

    engine = office.database._engine  # noqa: SLF001 - a fault is put into it
    event.listen(engine, "commit", refuse)
    try:
        yield tried
    finally:
        event.remove(engine, "commit", refuse)


@contextmanager
def held(office: Office) -> Iterator[list[int]]:
    """Until the block ends another connection holds the write lock, and nobody waits long for it."""
    tried: list[int] = []

    def hurry(connection: Connection) -> None:
        raw: Any = connection.connection.dbapi_connection
        raw.execute("PRAGMA busy_timeout=1")  # ms; how long is waited is tested elsewhere

    def count(wrong: ExceptionContext) -> None:
        tried.append(str(wrong.statement).startswith("BEGIN"))

    engine = office.database._engine  # noqa: SLF001
    event.listen(engine, "engine_connect", hurry)
    event.listen(engine, "handle_error", count)
    try:
        with closing(sqlite3.connect(office.settings.database, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            yield tried
    finally:
        event.remove(engine, "engine_connect", hurry)
        event.remove(engine, "handle_error", count)


@contextmanager
def unflushed(office: Office) -> Iterator[list[int]]:
    """Until the block ends nothing that is committed reaches the disk; then it is as after a new start."""
    tried: list[int] = []

    def refuse(_handle: int) -> None:
        tried.append(1)
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    known, flushing.flush = flushing.flush, refuse
    try:
        yield tried
    finally:
        flushing.flush = known
        flusher = office.database._flusher  # noqa: SLF001
        if flusher is not None:
            flusher._failed = flusher._newest = None  # noqa: SLF001


Fault = Callable[[Office], AbstractContextManager[list[int]]]
FAULTS: Mapping[str, Fault] = {
    "full": partial(no_commit, name="SQLITE_FULL", words="database or disk is full"),
    "failing": partial(no_commit, name="SQLITE_IOERR_FSYNC", words="disk I/O error"),
    "held": held,
}


class Watched:
    """A look from outside at whether anything was committed."""

    def __init__(self, office: Office) -> None:
        self._connection = sqlite3.connect(office.settings.database)

    def version(self) -> int:
        """A number that is another one after each commit (SQLite: PRAGMA data_version)."""
        return int(self._connection.execute("PRAGMA data_version").fetchone()[0])

    def close(self) -> None:
        """Look no more."""
        self._connection.close()


def entries(office: Office) -> int:
    """How much is in the record, by which anything saved is seen."""
    with office.database.read() as connection:
        counted = connection.exec_driver_sql(
            "SELECT (SELECT count(*) FROM record) + (SELECT count(*) FROM revision)"
        ).scalar_one()
    return int(counted)


def all_routes(app: Any) -> list[Any]:
    """Every route, found by asking the application, in the order in which they are tried."""
    return [one for book in app.routes if isinstance(book, AddressBook) for one in book.routes]


def changing_routes(app: Any) -> list[Any]:
    """Every route that changes something."""
    return [one for one in all_routes(app) if set(one.methods or ()) - SAFE]
