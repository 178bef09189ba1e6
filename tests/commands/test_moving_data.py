"""There and back: the data moves into PostgreSQL and back into the SQLite file, and every row is as it was."""

import os
import stat
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import Connection

from app.__main__ import main
from app.config import SERVER, Settings
from app.db.migrate import migrate
from app.db.repositories import record_check
from app.db.rows import first_difference, rows_of, tables_of
from app.db.serving import alone
from app.db.session import Database, database_of
from app.domain.basis import Basis
from app.domain.errors import NotFound, Refused
from app.services import backups, moving_data
from app.services.jobs import NewJob, Order, begin_job, changed, open_job, save
from app.services.office import open_office
from tests import postgres_server
from tests.demo_made import demo_copied

EVERY_KIND = ("firm", "job", "client", "site", "zone", "work", "record", "record_edit", "counter", "epoch", "revision")


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[str]:
    """The address of a database with nothing in it."""
    if not postgres_server.running():
        pytest.skip("no PostgreSQL server is running: `make test-postgres` starts one")
    name = f"moved_{os.getpid()}"
    postgres_server.make(name)
    yield postgres_server.address(name)
    postgres_server.drop(name)


@pytest.fixture
def of_the_file(tmp_path: Path) -> Settings:
    """A data folder of the demo firm, its database in the SQLite file, to do with as a test likes."""
    return Settings(data=demo_copied(tmp_path / "own"))


@contextmanager
def _both(one: Database, other: Database) -> Iterator[tuple[Connection, Connection]]:
    with closing(one), closing(other), one.read() as left, other.read() as right:
        yield left, right


def test_there_and_back_every_row_is_as_it_was(of_the_file: Settings, empty: str, capsys) -> None:
    before = of_the_file.data / "as-it-was.db"
    before.write_bytes(of_the_file.database.read_bytes())
    data = str(of_the_file.data)

    assert main(["--data", data, "move-data", empty]) == 0
    assert (of_the_file.server, of_the_file.database.exists()) == (empty, False)
    assert stat.S_IMODE((of_the_file.data / SERVER).stat().st_mode) & 0o077 == 0
    with _both(Database(before), database_of(of_the_file)) as (one, other):
        assert first_difference(one, other) == ""
        held = {table.name: len(list(rows_of(other, table))) for table in tables_of(other)}
        assert record_check.verify(other) is None
    assert all(held[kind] for kind in EVERY_KIND), held
    assert main(["--data", data, "jobs"]) == 0
    assert "Whitlock" in capsys.readouterr().out

    assert main(["--data", data, "move-data", "file"]) == 0
    assert (of_the_file.server, of_the_file.database.exists()) == ("", True)
    with _both(Database(before), database_of(of_the_file)) as (one, other):
        assert first_difference(one, other) == ""


def test_what_is_changed_there_comes_back(of_the_file: Settings, empty: str) -> None:
    moving_data.to_server(of_the_file, empty)
    office = open_office(of_the_file, Basis())
    job_id = begin_job(office, NewJob(name="Priya Lindqvist"), Order(change_id=uuid4()))
    save(office, job_id, (changed("job", job_id, 1, {"title": "Side yard"}),), Order(change_id=uuid4()))
    office.database.close()
    moving_data.to_file(of_the_file)
    again = open_office(of_the_file, Basis())
    assert open_job(again, job_id).job.head.title == "Side yard"
    again.database.close()


def test_first_difference_is_named(of_the_file: Settings, tmp_path: Path) -> None:
    other = Database(tmp_path / "other.db")
    other.path.write_bytes(of_the_file.database.read_bytes())
    with other.write() as connection:
        connection.exec_driver_sql("UPDATE zone SET title = 'Other' WHERE thing_id = (SELECT max(thing_id) FROM zone)")
    with closing(Database(of_the_file.database)) as one, one.read() as left, other.read() as right:
        assert first_difference(left, left) == ""
        assert first_difference(left, right).endswith("of zone")
    other.close()


def test_database_that_holds_something_is_not_written_over(of_the_file: Settings, empty: str) -> None:
    with closing(Database(of_the_file.database, empty)) as there:
        migrate(there, of_the_file.migrations)
    with pytest.raises(Refused, match="holds something already"):
        moving_data.to_server(of_the_file, empty)
    assert (of_the_file.server, of_the_file.database.exists()) == ("", True)


def test_killed_before_the_setting_is_written_the_file_stays_in_use(
    of_the_file: Settings, empty: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def dies(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(moving_data, "write_whole", dies)
    with pytest.raises(KeyboardInterrupt):
        moving_data.to_server(of_the_file, empty)
    assert (of_the_file.server, of_the_file.database.exists()) == ("", True)


def test_move_waits_for_open_pages(of_the_file: Settings, capsys) -> None:
    with alone(of_the_file.data, "http://127.0.0.1:8137"):
        assert main(["--data", str(of_the_file.data), "move-data", "postgresql:///outlay"]) == 2
    assert "running at http://127.0.0.1:8137" in capsys.readouterr().err


def test_what_names_no_database_or_has_nothing_to_move_is_refused(of_the_file: Settings, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="names no database"):
        moving_data.to_server(of_the_file, "mysql://somewhere")
    with pytest.raises(Refused, match="in the SQLite file already"):
        moving_data.to_file(of_the_file)
    with pytest.raises(NotFound, match="no data"):
        moving_data.to_server(Settings(data=tmp_path / "none"), "postgresql:///outlay")


def test_backup_made_on_the_server_is_restored_anywhere(of_the_file: Settings, empty: str, tmp_path: Path) -> None:
    moving_data.to_server(of_the_file, empty)
    office = open_office(of_the_file, Basis())
    made = backups.back_up(office, tmp_path / "made.zip")
    begin_job(office, NewJob(name="Somebody"), Order(change_id=uuid4()))
    office.database.close()
    for settings in (Settings(data=tmp_path / "laptop"), of_the_file):
        backups.restore(settings, tmp_path / "made.zip")
        again = open_office(settings, Basis())
        assert backups.faults(again) == ()
        with again.database.read() as connection:
            assert (
                len(list(rows_of(connection, next(t for t in tables_of(connection) if t.name == "job")))) == made.jobs
            )
        again.database.close()
    assert of_the_file.server == empty
    assert (tmp_path / "laptop" / "outlay.db").exists()
