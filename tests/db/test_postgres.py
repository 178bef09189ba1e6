"""What is different on PostgreSQL: one writer, one picture for who reads, a record nobody rewrites, its sentences."""

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID, uuid4

import psycopg
import pytest
from sqlalchemy.exc import DBAPIError

from app.config import SERVER, Settings
from app.db import postgres
from app.db.backup import look_inside
from app.db.disk import DatabaseBusy, DiskTrouble
from app.db.postgres import NoServer
from app.db.repositories import counters
from app.db.serving import InUse, alone
from app.db.session import Database, database_of
from app.domain.basis import Basis
from app.domain.errors import NotFound
from app.services import backups
from app.services.jobs import NewJob, Order, begin_job, open_job
from app.services.office import Office, open_office
from tests import postgres_server

needs_server = pytest.mark.skipif(
    not postgres_server.running(), reason="no PostgreSQL server is running: `make test-postgres` starts one"
)


@pytest.fixture
def beside(office: Office) -> Iterator[Database]:
    """The same database as another program opens it."""
    other = database_of(office.settings)
    yield other
    other.close()


@needs_server
def test_second_writer_waits_a_moment_and_then_says_so(office: Office, beside: Database) -> None:
    with office.database.write() as connection:
        counters.raise_counter(connection, "test")
        with pytest.raises(DatabaseBusy, match="Another program is writing"), beside.write():
            pass
        with beside.read() as reading:
            assert counters.counter(reading, "test") == 0
    with beside.write() as connection:
        assert counters.raise_counter(connection, "test") == 2


@needs_server
def test_writer_sees_what_was_committed_while_it_waited(office: Office, beside: Database) -> None:
    inside, go_on = threading.Event(), threading.Event()

    def first() -> None:
        with beside.write() as connection:
            inside.set()
            counters.raise_counter(connection, "test")
            go_on.wait(5)

    other = threading.Thread(target=first)
    other.start()
    inside.wait(5)
    threading.Timer(0.05, go_on.set).start()
    with office.database.write() as connection:
        assert counters.counter(connection, "test") == 1
    other.join()


@needs_server
def test_reader_keeps_one_picture_and_cannot_write(office: Office, beside: Database) -> None:
    with office.database.read() as reading:
        assert counters.counter(reading, "test") == 0
        with beside.write() as connection:
            counters.raise_counter(connection, "test")
        assert counters.counter(reading, "test") == 0
    with pytest.raises(DiskTrouble, match="read only"), office.database.read() as reading:
        counters.raise_counter(reading, "test")
    with office.database.read() as reading:
        assert counters.counter(reading, "test") == 1


@needs_server
@pytest.mark.parametrize("table", ["record", "record_edit", "revision_file"])
@pytest.mark.parametrize("verb", ["UPDATE {} SET {} = {}", "DELETE FROM {}", "TRUNCATE {} CASCADE"])
def test_record_refuses_to_be_rewritten_on_a_server(office: Office, table: str, verb: str) -> None:
    column = {"record": "who", "record_edit": "kind", "revision_file": "role"}[table]
    if table == "revision_file":
        with office.database.write() as connection:
            connection.exec_driver_sql(
                "INSERT INTO revision (id, firm_id, job_id, number, kind, state, issued_at, job_counter, signers) "
                "VALUES ('r', 'f', 'j', 1, 'proposal', 'offered', '2027', 1, '[]')"
            )
            connection.exec_driver_sql(
                "INSERT INTO revision_file (revision_id, role, file, size) VALUES ('r','a','b',1)"
            )
    with pytest.raises(DBAPIError, match="append only"), office.database.write() as connection:
        connection.exec_driver_sql(verb.format(table, column, column))


@needs_server
def test_commit_waits_for_the_disk_of_the_server(office: Office) -> None:
    with office.database.read() as connection:
        assert connection.exec_driver_sql("SHOW synchronous_commit").scalar() == "on"
        assert connection.exec_driver_sql("SHOW lock_timeout").scalar() == "250ms"


@needs_server
def test_connection_that_was_cut_is_said_and_the_next_works(office: Office) -> None:
    def cut() -> None:
        with office.database.write() as one, psycopg.connect(office.settings.server, autocommit=True) as other:
            own = one.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
            other.execute("SELECT pg_terminate_backend(%s)", (own,))
            counters.raise_counter(one, "test")

    with pytest.raises(DiskTrouble, match="connection to the database server was lost"):
        cut()
    with office.database.write() as connection:
        assert counters.raise_counter(connection, "test") == 1


@needs_server
def test_database_that_orders_text_otherwise_is_refused(tmp_path: Path) -> None:
    postgres_server.make("latin", options="ENCODING 'LATIN1' LC_COLLATE 'C' LC_CTYPE 'C'")
    latin = Database(tmp_path / "none.db", postgres_server.address("latin"))
    try:
        with pytest.raises(NoServer, match="needs UTF8 ordered by C"), latin.read():
            pass
    finally:
        postgres_server.drop("latin")


def test_server_that_is_not_there_is_said(tmp_path: Path) -> None:
    database = Database(tmp_path / "none.db", f"postgresql:///outlay?host={tmp_path}")
    with pytest.raises(NoServer, match=r"was not reached .*Nothing was changed"), database.read():
        pass


def test_setting_is_one_line_of_the_data_folder(tmp_path: Path) -> None:
    settings = Settings(data=tmp_path)
    assert (settings.server, settings.holds_data) == ("", False)
    (tmp_path / SERVER).write_text("postgresql:///outlay\n")
    assert (settings.server, settings.holds_data) == ("postgresql:///outlay", True)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (psycopg.errors.LockNotAvailable(), "Another program is writing"),
        (psycopg.errors.DiskFull(), "disk of the database server is full"),
        (psycopg.errors.TooManyConnections(), "no more connections"),
        (psycopg.errors.AdminShutdown(), "was lost"),
        (psycopg.OperationalError("gone"), "was lost"),
        (psycopg.errors.DataCorrupted(), "damaged"),
        (psycopg.errors.InsufficientPrivilege(), "does not let Outlay write"),
    ],
)
def test_what_the_server_says_becomes_a_sentence(wrong: psycopg.Error, said: str) -> None:
    assert said in str(postgres.trouble_of(wrong))


def test_what_is_no_trouble_of_the_server_stays_an_error() -> None:
    assert postgres.trouble_of(psycopg.errors.SyntaxError()) is None
    assert postgres.trouble_of(ValueError()) is None


def test_programs_that_serve_one_database_hold_the_folder_beside_each_other(tmp_path: Path) -> None:
    with alone(tmp_path, "http://one", beside=True):
        with (
            alone(tmp_path, "http://two", beside=True),
            pytest.raises(InUse, match="http://one, http://two"),
            alone(tmp_path),
        ):
            pass
        with pytest.raises(InUse, match="at http://one and"), alone(tmp_path):
            pass
    with alone(tmp_path), pytest.raises(InUse), alone(tmp_path, "http://one", beside=True):
        pass


@needs_server
def test_restore_killed_in_the_middle_leaves_what_was_there(office: Office, job_id: UUID, tmp_path: Path) -> None:
    backups.back_up(office, tmp_path / "made.zip")
    second = begin_job(office, NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
    office.database.close()
    program = f"""
import os, signal
from pathlib import Path
from app.config import Settings
from app.db import moving
from app.services import backups
moving.copy_rows = lambda *rows: os.kill(os.getpid(), signal.SIGKILL)
backups.restore(Settings(data=Path({str(office.settings.data)!r})), Path({str(tmp_path / "made.zip")!r}))
"""
    ended = subprocess.run([sys.executable, "-c", program], env=os.environ, capture_output=True, check=False)
    assert ended.returncode == -signal.SIGKILL, ended.stderr.decode()
    again = open_office(office.settings, Basis(), office.clock)
    assert open_job(again, second).job.client.name == "Priya Lindqvist"
    assert backups.faults(again) == ()
    again.database.close()
    backups.restore(office.settings, tmp_path / "made.zip", clock=office.clock)
    restored = open_office(office.settings, Basis(), office.clock)
    assert open_job(restored, job_id).job.client.name == "Linnea Whitlock"
    with pytest.raises(NotFound):
        open_job(restored, second)
    restored.database.close()
    kept = office.settings.data.glob("before-restore-*/outlay.db")
    assert [look_inside(one).jobs for one in sorted(kept)] == [2, 2]


def test_machine_without_a_server_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    monkeypatch.setattr(postgres_server, "program", lambda _name: None)
    assert postgres_server.main([]) == 2
    assert capsys.readouterr().out == f"{postgres_server.MISSING}\n"
    assert "sudo apt-get install postgresql" in postgres_server.MISSING
