"""PostgreSQL in place of the SQLite file: how it is reached, and the manners that make it as safe.

One writer at a time, also of several programs: a transaction that writes takes one lock of the whole database before
it looks at anything, so it sees all that was committed before; a reader sees one picture. The server answers a commit
once it is on its disk. Everything lies in a schema of our own.
"""

from typing import Any

from sqlalchemy import Connection, Engine, Table, create_engine, event, text

from app.db.disk import BUSY, DatabaseBusy, DiskTrouble

ADDRESSES = ("postgresql://", "postgres://")
SCHEMA = "outlay"
WRITING = 0x6F75746C6179  # the lock of who writes: "outlay" as a number
LOCK_WAIT_MS = 250
ORDERS = ("c", "posix", "c.utf-8", "c.utf8")  # text is ordered by its bytes, as SQLite does
MANNERS = (
    f"SET search_path TO {SCHEMA}; SET lock_timeout TO {LOCK_WAIT_MS}; SET synchronous_commit TO on; "
    "SET client_encoding TO 'UTF8'"
)
BEGIN_WRITING = f"BEGIN ISOLATION LEVEL READ COMMITTED; SELECT pg_advisory_xact_lock({WRITING})"
BEGIN_READING = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"
LOST = (
    "The connection to the database server was lost. Whether your last change was kept shows when the page is opened "
    "again; sending it once more does not double it."
)
OF_SERVER = {  # by the beginning of the server's code for the error (SQLSTATE, PostgreSQL manual, appendix A)
    "53100": "The disk of the database server is full. Nothing was changed. Make room on it, then save again.",
    "53": "The database server takes no more connections just now. Nothing was changed; try again in a moment.",
    "25006": "The database server takes no changes just now: it is read only. Nothing was changed.",
    "42501": "The database server does not let Outlay write. Nothing was changed. Give it the rights, then save again.",
    "58": "The disk of the database server gives errors. Nothing was changed. Have it looked at before you go on.",
    "XX": "The database is damaged. Stop Outlay, and restore the newest backup (outlay restore FILE).",
    "08": LOST,
    "57P": LOST,
}


class NoServer(DiskTrouble):
    """The database server cannot be used as it must be."""


def engine(address: str) -> Engine:
    """Connections to the database at an address (`postgresql://…`), each with our manners."""
    made = create_engine(
        "postgresql+psycopg://",
        creator=lambda: _connected(address),
        pool_size=2,
        max_overflow=2,
        pool_reset_on_return=None,  # each transaction is ended
        pool_pre_ping=True,  # a server that was started again is no error
    )

    @event.listens_for(made, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(BEGIN_WRITING if connection.info.get("immediate") else BEGIN_READING)

    return made


def trouble_of(wrong: BaseException | None) -> DiskTrouble | None:
    """The sentence for what the driver raised; None for what is no trouble of server or disk."""
    import psycopg

    if not isinstance(wrong, psycopg.Error):
        return None
    code = wrong.sqlstate or ("08" if isinstance(wrong, psycopg.OperationalError) else "")
    if code == "55P03":  # lock_not_available
        return DatabaseBusy(BUSY)
    words = next((said for begins, said in OF_SERVER.items() if code.startswith(begins)), None)
    return NoServer(words) if words else None


def leave_none_open(raw: Any) -> None:
    """End a transaction that an error left open, so that the next one on this connection finds none."""
    if not raw.closed and raw.info.transaction_status.name != "IDLE":
        raw.rollback()


def go_on_counting(connection: Connection, table: Table) -> None:
    """After rows came in with numbers of their own: the next number the server gives is a new one."""
    for column in table.primary_key.columns:
        named = {"of": table.name, "named": column.name}
        counts = connection.execute(text("SELECT pg_get_serial_sequence(:of, :named)"), named).scalar_one()
        if counts:
            last = f'SELECT setval(:counts, (SELECT coalesce(max("{column.name}"), 0) + 1 FROM "{table.name}"), false)'  # noqa: S608 - names of our own tables
            connection.execute(text(last), {"counts": counts})


def write_anew(cursor: Any) -> None:
    """Write every table anew, without what was taken out; the server's own log holds it until that is thrown away."""
    cursor.execute("SET lock_timeout TO 10000")
    cursor.execute("VACUUM FULL")
    cursor.execute(MANNERS)


def begin_anew(connection: Connection) -> None:
    """Take out all that is there; what comes in its place comes in the same transaction."""
    connection.exec_driver_sql(f"DROP SCHEMA {SCHEMA} CASCADE")
    connection.exec_driver_sql(f"CREATE SCHEMA {SCHEMA}")


def _connected(address: str) -> Any:
    try:
        import psycopg
    except ImportError:
        raise NoServer(
            "The data is set to lie in PostgreSQL, and its driver is not installed. Install it with: "
            "pip install --require-hashes -r requirements-postgres.lock"
        ) from None
    try:
        made = psycopg.connect(address, autocommit=True, connect_timeout=5)  # we say BEGIN ourselves
    except (psycopg.OperationalError, psycopg.ProgrammingError) as wrong:
        said = str(wrong).strip().splitlines()[-1][:200]
        raise NoServer(
            f"The database server was not reached ({said}). Nothing was changed. Is it running, and does the file "
            "“database” in the data folder name it rightly?"
        ) from wrong
    try:
        _look(made)
    except BaseException:
        made.close()
        raise
    return made


def _look(made: Any) -> None:
    """Raises: NoServer where the database would order or keep text otherwise than Outlay rests on."""
    made.execute(MANNERS)
    row = made.execute(
        "SELECT pg_encoding_to_char(encoding), datcollate, current_database(), to_regnamespace(%s) IS NOT NULL "
        "FROM pg_database WHERE datname = current_database()",
        (SCHEMA,),
    ).fetchone()
    encoding, order, name, there = row
    if encoding != "UTF8" or order.lower() not in ORDERS:
        raise NoServer(
            f"The database {name} keeps text as {encoding}, ordered by {order}; Outlay needs UTF8 ordered by C. Make "
            f"one with: CREATE DATABASE {name} TEMPLATE template0 ENCODING 'UTF8' LC_COLLATE 'C' LC_CTYPE 'C'"
        )
    if not there:
        made.execute(f"CREATE SCHEMA IF NOT EXISTS {SCHEMA}")
