"""The database: one engine, read and write transactions, and the manners that keep it safe.

Writers begin IMMEDIATE, so no update is lost; the commit is done, and on disk, before anything is answered; WAL with
full synchronous commits, or flushed beside the work while the pages are served (`db/flushing`). Database work is short
and synchronous, on the event loop's one thread. What is different on PostgreSQL stands in `db/postgres`.
"""

from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError

from app.config import Settings
from app.db import postgres
from app.db.disk import DatabaseBusy, of_database, writing_to
from app.db.flushing import Flusher
from app.domain.errors import OutlayError

__all__ = ["Database", "DatabaseBroken", "DatabaseBusy", "Moment", "database_of"]

LOCK_WAIT_MS = 250
SAFETY = {
    "synchronous": "FULL",
    "foreign_keys": "ON",
    "recursive_triggers": "ON",
    "busy_timeout": str(LOCK_WAIT_MS),
}
MOST_LOG = 8_000  # pages of the write-ahead log before a commit waits for it to be brought in: some thirty megabytes


class DatabaseBroken(OutlayError):
    """The database cannot be opened as it must be."""

    status = 503


class Moment(NamedTuple):
    """Until a request begins or ends, or this process writes."""

    request: object
    written: int


class Standing(NamedTuple):
    """How a database stands, as one connection sees it: the commits of all others, and all our own."""

    connection: object
    commits: int
    written: int


class Database:
    """Transactions on one database: a file, or where a server is named (`postgresql://…`) the one there."""

    def __init__(self, path: Path, server: str = "") -> None:
        self.path = path
        self.server = server
        self._engine = postgres.engine(server) if server else _engine(path)
        self.written = 0  # transactions that wrote, so that what was read before one is known to be old
        self.memory: dict[Any, Any] = {}  # bounded memory lives here, so that another database finds it empty
        self._request: object | None = None
        self._open = 0  # requests
        self._flusher: Flusher | None = None
        self._tidied = 0

    @property
    def moment(self) -> Moment | None:
        """One moment of one request: what is read within it need not be looked at again. None outside of requests."""
        return None if self._request is None else Moment(self._request, self.written)

    def is_now(self, moment: Moment | None) -> bool:
        """Whether it is still the same moment: no request has begun or ended since, and nothing was written here."""
        now = self.moment
        return now is not None and now == moment

    def stands(self) -> "Standing | None":
        """What is equal for as long as nobody writes, here or in another program; None where that is not told.

        It asks without a transaction: while it is equal, nothing that was read need be looked at again.
        """
        if self.server:
            return None
        with self._connected() as connection:
            return self.stands_in(connection)

    def stands_in(self, connection: Connection) -> "Standing | None":
        """The same as a transaction sees it. SQLite counts on each connection the commits of all others."""
        raw = None if self.server else connection.connection.dbapi_connection
        if raw is None:
            return None
        try:
            (commits,) = raw.cursor().execute("PRAGMA data_version").fetchone()
        except self._engine.dialect.loaded_dbapi.Error:  # whoever reads next is told why
            return None
        return Standing(raw, commits, self.written)

    @contextmanager
    def request(self) -> Iterator[None]:
        """A request begins, and ends with the block. Whenever one begins or ends, a new moment begins for all."""
        self._open += 1
        self._request = object()
        try:
            yield
        finally:
            self._open -= 1
            self._request = object() if self._open else None

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that only reads: one consistent picture."""
        with self._connected() as connection, connection.begin():
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that writes: takes the write lock at once, commits at the end, rolls back on any error."""
        if self._flusher:
            self._flusher.refuse_if_failed()
        with self._connected() as connection:
            connection.info["immediate"] = True
            try:
                with connection.begin():
                    yield connection
                if self._flusher:
                    self._flusher.begin()
            finally:
                self.written += 1
                connection.info.pop("immediate", None)

    @contextmanager
    def flushed_beside(self) -> Iterator[None]:
        """Until the block ends commits do not wait for the disk: whoever answers waits for `reaching_disk`."""
        if self.server:  # it answers a commit once it is on its disk, and we wait for that
            yield
            return
        self._engine.dispose()
        self._engine = _engine(self.path, synchronous="NORMAL", wal_autocheckpoint=str(MOST_LOG))
        self._flusher = flusher = Flusher(self.path)
        try:
            yield
        finally:
            self._flusher = None
            flusher.close()
            self._engine.dispose()
            self._engine = _engine(self.path)

    def tidy(self) -> None:
        """Bring the write-ahead log into the database while nobody waits, so that no commit has to."""
        if self._flusher and self._tidied != self.written:
            self._tidied = self.written
            connection = self._engine.raw_connection()
            try:
                connection.cursor().execute("PRAGMA wal_checkpoint(PASSIVE)")
            finally:
                connection.close()

    def scrub(self) -> None:
        """Write the database anew, without what was taken out of it: until then its old pages still hold that.

        Nothing else is answered meanwhile; two seconds for 200 MB.
        """
        connection = self._engine.raw_connection()
        try:
            cursor = connection.cursor()
            if self.server:
                postgres.write_anew(cursor)
                return
            for one in ("PRAGMA temp_store=MEMORY", "PRAGMA secure_delete=ON", "VACUUM"):
                cursor.execute(one)
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # the log held it, too
            cursor.execute("PRAGMA secure_delete=OFF")
        finally:
            self.written += 1
            connection.close()

    @property
    def reaching_disk(self) -> "Future[None] | None":
        """What stands for all that is committed until now, or raises NotOnDisk; None where it is on disk."""
        return self._flusher.pending if self._flusher else None

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()

    @contextmanager
    def _connected(self) -> Iterator[Connection]:
        try:
            with self._engine.connect() as connection:
                try:
                    yield connection
                finally:
                    self._leave_none_open(connection)
        except DatabaseError as wrong:
            said = postgres.trouble_of(wrong.orig) if self.server else of_database(wrong.orig, self.path)
            if said is None:
                raise
            raise said from wrong

    def _leave_none_open(self, connection: Connection) -> None:
        """A commit that failed may leave its transaction open: the next one on this connection must find none."""
        raw = None if connection.invalidated else connection.connection.dbapi_connection
        if raw is not None and self.server:
            postgres.leave_none_open(raw)
        elif raw is not None and getattr(raw, "in_transaction", False):
            raw.rollback()


def database_of(settings: Settings) -> Database:
    """The database of a data folder, where its settings say."""
    return Database(settings.database, settings.server)


def _engine(path: Path, **pragmas: str) -> Engine:
    with writing_to(path.parent):
        path.parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(
        f"sqlite:///{path}",
        pool_size=2,
        max_overflow=2,
        pool_reset_on_return=None,  # each transaction is ended
        pool_use_lifo=True,  # the connection used last is used again: it can tell whether anybody wrote since
    )

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves
        mode = connection.execute("PRAGMA journal_mode=WAL").fetchone()[0]
        if mode != "wal":
            raise DatabaseBroken(
                f"The folder {path.parent} does not allow safe writing (journal mode {mode}). "
                "Move the data to a local disk."
            )
        for name, value in {**SAFETY, **pragmas}.items():
            connection.execute(f"PRAGMA {name}={value}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.info.get("immediate") else "BEGIN")

    return engine
