"""A PostgreSQL server for tests: found, started in a folder of its own on a socket only, stopped; databases by folder.

`OUTLAY_TEST_SERVER` names the folder of the socket of one that runs: then every data folder of a test has a database
there of its own, a copy of one that went through every migration.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

from app.config import SERVER, Settings
from app.db.migrate import migrate
from app.db.session import Database, database_of

RUNNING = "OUTLAY_TEST_SERVER"
MISSING = (
    "No PostgreSQL server is installed here (initdb and pg_ctl were not found). "
    "On Debian or Ubuntu: sudo apt-get install postgresql"
)
PLAIN_USER = "nobody"  # the server refuses to run as root
IN_MEMORY = Path("/dev/shm")
ROOM = 2_000_000_000  # bytes a run may take


class NoServer(Exception):
    """There is no server to start, in a sentence."""


def program(name: str) -> str | None:
    """Where a program of the server lies: on the path, or where Debian and its like put it; the newest."""
    places = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), key=lambda one: int(one.parts[4].split(".")[0]))
    return shutil.which(name) or (str(places[-1]) if places else None)


@contextmanager
def server() -> Iterator[Path]:
    """Start a server of our own, and stop it when the block ends; the folder of its socket.

    Raises: NoServer, saying what to install.
    """
    initdb, control = program("initdb"), program("pg_ctl")
    if initdb is None or control is None:
        raise NoServer(MISSING)
    with tempfile.TemporaryDirectory(prefix="outlay-pg-", dir=_somewhere()) as folder:
        place = Path(folder)
        as_user: list[str] = []
        if os.getuid() == 0:
            as_user = ["setpriv", f"--reuid={PLAIN_USER}", f"--regid={_group_of(PLAIN_USER)}", "--clear-groups"]
            shutil.chown(place, PLAIN_USER)
        data, log = str(place / "data"), str(place / "log")
        _run([*as_user, initdb, "-D", data, "-U", "outlay", "--auth=trust", "-E", "UTF8", "--locale=C"], place)
        settings = f"-c listen_addresses= -c max_connections=200 -k {place}"
        _run([*as_user, control, "-D", data, "-w", "-l", log, "-o", settings, "start"], place)
        try:
            yield place
        finally:
            _run([*as_user, control, "-D", data, "-w", "-m", "immediate", "stop"], place)


def address(name: str, socket: Path | str | None = None) -> str:
    """The address of a database on the server that runs."""
    return f"postgresql:///{name}?host={socket or os.environ[RUNNING]}&user=outlay"


def running() -> bool:
    """Whether the tests are run on PostgreSQL."""
    return RUNNING in os.environ


def make(name: str, *, like: str = "template0", options: str = "") -> None:
    """Make a database, a copy of another that nobody is connected to."""
    _say(f'CREATE DATABASE "{name}" TEMPLATE "{like}" {options}')


def drop(name: str) -> None:
    """Take a database away, whoever is connected."""
    _say(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


# all that a test may have changed of the tables themselves: then its database is not used again
SHAPE = """
SELECT (SELECT string_agg(version_num, ',') FROM outlay.alembic_version),
       (SELECT count(*) FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid
         WHERE c.relnamespace = 'outlay'::regnamespace AND NOT a.attisdropped),
       (SELECT string_agg(tgname::text || tgenabled::text, ',' ORDER BY tgname) FROM pg_trigger WHERE NOT tgisinternal)
"""
EMPTIED = """
SELECT string_agg(format('DELETE FROM outlay.%I', tablename), '; ') FROM pg_tables
WHERE schemaname = 'outlay' AND tablename NOT IN ('alembic_version')
"""
COUNTED_ANEW = """
SELECT string_agg(format('ALTER SEQUENCE outlay.%I RESTART', sequencename), '; ') FROM pg_sequences
WHERE schemaname = 'outlay'
"""


class Databases:
    """The databases of one run of tests, by data folder; one that a test is done with is emptied for another."""

    def __init__(self) -> None:
        self.template = f"migrated_{os.getpid()}"
        self.made: dict[Path, str] = {}
        self.empty: list[str] = []
        self._copies: set[str] = set()  # of what is not empty
        self._count = 0
        make(self.template)
        first = Database(Path(tempfile.gettempdir()) / "none.db", address(self.template))
        migrate(first, Settings().migrations)
        first.close()
        with psycopg.connect(address(self.template), autocommit=True) as connection:
            self._shape = connection.execute(SHAPE).fetchone()
            said = [connection.execute(one).fetchone()[0] for one in (EMPTIED, COUNTED_ANEW)]
            began = connection.execute("SELECT number, began, why FROM outlay.epoch").fetchone()
        self._emptying, self._began = "; ".join(said), began

    def of(self, data: Path, *, like: str | None = None) -> Path:
        """A data folder whose database lies on the server: what it says already, or a new one."""
        if not (data / SERVER).exists() and not Settings(data=data).database.exists():
            name = self.empty.pop() if self.empty and like is None else self._another(like)
            self.made[data.absolute()] = name
            data.mkdir(parents=True, exist_ok=True)
            (data / SERVER).write_text(address(name))
        return data

    def opened(self, settings: Settings) -> Database:
        """What opens an office's database in place of `database_of`."""
        self.of(settings.data)
        return database_of(settings)

    def forget(self, below: Path) -> None:
        """Take away the databases of the folders below one."""
        for data in [one for one in self.made if one.is_relative_to(below)]:
            name = self.made.pop(data)
            if name not in self._copies and self._emptied(name):
                self.empty.append(name)
            else:
                drop(name)

    def close(self) -> None:
        """Take all away."""
        for name in (*self.made.values(), *self.empty, self.template):
            drop(name)

    def _another(self, like: str | None) -> str:
        self._count += 1
        name = f"t_{os.getpid()}_{self._count}"
        make(name, like=like or self.template)
        if like:
            self._copies.add(name)
        return name

    def _emptied(self, name: str) -> bool:
        """Take out all rows; False where more than rows was changed."""
        with psycopg.connect(address(name), autocommit=True) as connection:
            connection.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
            try:
                if connection.execute(SHAPE).fetchone() != self._shape:
                    return False
            except psycopg.Error:
                return False
            connection.execute("SET session_replication_role = replica")  # what guards the record is of no row here
            connection.execute(self._emptying)
            connection.execute("INSERT INTO outlay.epoch (number, began, why) VALUES (%s, %s, %s)", self._began)
            return True


_NOW: list[Databases] = []


@contextmanager
def databases() -> Iterator[Databases]:
    """The databases of this run, taken away when the block ends."""
    made = Databases()
    _NOW.append(made)
    try:
        yield made
    finally:
        _NOW.remove(made)
        made.close()


def begin(data: Path) -> None:
    """Where the tests are run on PostgreSQL: have the database of a data folder there, whoever opens it."""
    if _NOW:
        _NOW[-1].of(data)


def _somewhere() -> str | None:
    """In memory where there is room: a test waits for the disk at every commit."""
    roomy = IN_MEMORY.is_dir() and os.access(IN_MEMORY, os.W_OK) and shutil.disk_usage(IN_MEMORY).free > ROOM
    return str(IN_MEMORY) if roomy else None


def _group_of(user: str) -> int:
    import pwd

    return pwd.getpwnam(user).pw_gid


def _run(words: list[str], place: Path) -> None:
    done = subprocess.run(words, cwd=place, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
    if done.returncode:
        raise NoServer(f"The PostgreSQL server could not be started: {(done.stderr or done.stdout).strip()[-400:]}")


def _say(statement: str) -> None:
    with psycopg.connect(address("postgres"), autocommit=True) as connection:
        connection.execute(statement)


def main(words: list[str]) -> int:
    """Run pytest on a server of our own."""
    try:
        with server() as socket:
            environment = {**os.environ, RUNNING: str(socket)}
            return subprocess.run([sys.executable, "-m", "pytest", *words], env=environment, check=False).returncode
    except NoServer as missing:
        print(missing)  # noqa: T201
        return 2


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
