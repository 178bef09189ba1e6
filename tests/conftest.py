"""What tests share: an office on a real database made by the migrations."""

import gc
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
import sqlalchemy
from hypothesis import HealthCheck, settings
from sqlalchemy import Engine

from app.config import SERVER, Settings
from app.db.migrate import migrate
from app.db.session import SAFETY, Database, database_of
from app.domain.basis import Basis, Price
from app.domain.change import Edit
from app.domain.plan.shapes import rectangle
from app.interchange import library_file
from app.services import changes
from app.services.jobs import NewJob, Order, begin_job, changed, open_job, save
from app.services.office import Office, open_office
from app.services.zones import NewZone, add_zone
from app.web.idle import Collecting
from app.worker.running import Worker
from tests import postgres_server
from tests.working_here import blank_here, done_here, never_ready

read_library = library_file.load_library
shipped_library = cache(read_library)


def library_read_once(folder: Path = library_file.SHIPPED) -> library_file.Library:
    """The shipped library is read once a process; any other folder each time."""
    return shipped_library() if folder == library_file.SHIPPED else read_library(folder)


library_file.load_library = library_read_once  # before anything names it

# the same examples at every run, however long each takes, so that a run says something about the code;
# `--hypothesis-profile=default` draws others
settings.register_profile(
    "same", derandomize=True, database=None, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("same")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What is slow comes first, so that no process is left with it at the end while others have nothing to do.

    On PostgreSQL what is about the SQLite file itself is left out, each with its reason.
    """
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)
    gc.freeze()  # what is there by now stays: nothing is gained by looking through it again and again
    for item in items if postgres_server.running() else ():
        for mark in item.iter_markers("sqlite_file"):
            item.add_marker(pytest.mark.skip(reason=f"of the SQLite file: {mark.args[0]}"))


@pytest.fixture(autouse=True)
def _heavy_work_here(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Heavy work is done in this process, where its libraries are loaded once, not in one of its own for each job."""
    if not request.node.get_closest_marker("own_process"):
        monkeypatch.setattr(Worker, "_do", done_here if request.node.get_closest_marker("printed") else blank_here)
        monkeypatch.setattr(Worker, "_stand_ready", never_ready)


@pytest.fixture(autouse=True)
def _not_down_to_the_disk(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test waits for a disk that no test takes the power from, unless it is about just that (`on_disk`)."""
    if not request.node.get_closest_marker("on_disk"):
        monkeypatch.setattr("os.fsync", lambda _handle: None)
        monkeypatch.setitem(SAFETY, "synchronous", "OFF")


@pytest.fixture(scope="session")
def databases() -> Iterator[postgres_server.Databases | None]:
    """The databases on the server where the tests are run on PostgreSQL; else None."""
    if not postgres_server.running():
        yield None
        return
    with postgres_server.databases() as made:
        yield made


@pytest.fixture(autouse=True)
def _databases_forgotten(request: pytest.FixtureRequest, databases: postgres_server.Databases | None) -> Iterator[None]:
    folder = request.getfixturevalue("tmp_path") if databases and "tmp_path" in request.fixturenames else None
    yield
    if databases and folder:
        databases.forget(folder)


@pytest.fixture(scope="session", autouse=True)
def _set_apart_once() -> Iterator[None]:
    """What is loaded is set apart from what is collected once a process, as it is when one office is served, not a test:
    what an earlier test left would never be let go of."""
    begin, begun = Collecting.begin, []

    def once(self: Collecting) -> None:
        if not begun:
            begun.append(self)
            begin(self)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Collecting, "begin", once)
        yield


@pytest.fixture(scope="session", autouse=True)
def _statements_compiled_once() -> Iterator[None]:
    """Every engine of this process writes SQL as the first one did: a statement is compiled once, not once a test."""
    made_by_library = sqlalchemy.create_engine
    first: dict[str, Engine] = {}

    def made(url: str, **options: Any) -> Engine:
        engine = made_by_library(url, **options)
        like = first.setdefault(engine.dialect.name, engine)
        engine.dialect = engine.pool._dialect = like.dialect
        engine._compiled_cache = like._compiled_cache
        return engine

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("app.db.session.create_engine", made)
        yield


@pytest.fixture(scope="session", autouse=True)
def _tables_made_once(
    tmp_path_factory: pytest.TempPathFactory, databases: postgres_server.Databases | None
) -> Iterator[None]:
    """A new database of an office is a copy of one that went through every migration: all of them, once a process."""
    if databases:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("app.services.office.database_of", databases.opened)
            yield
        return
    made = tmp_path_factory.mktemp("migrated") / "outlay.db"
    first = Database(made)
    migrate(first, Settings().migrations)
    first.close()

    def copied(database: Database, scripts: Path) -> None:
        if database.path.stat().st_size if database.path.exists() else 0:
            migrate(database, scripts)
            return
        with sqlite3.connect(made) as source, sqlite3.connect(database.path) as copy:
            source.backup(copy)
        source.close()
        copy.close()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("app.services.office.migrate", copied)
        yield


@pytest.fixture
def new_database(tmp_path: Path, databases: postgres_server.Databases | None) -> Iterator[Database]:
    """A database without even a table."""
    settings = Settings(data=tmp_path / "new")
    if databases:
        databases.of(settings.data, like="template0")
    made = database_of(settings)
    yield made
    made.close()


class TestClock:
    """Steps a second at each look, from a fixed day."""

    __test__ = False

    def __init__(self) -> None:
        self.now = datetime(2027, 3, 9, 15, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = open_office(Settings(data=tmp_path / "data"), Basis(), TestClock())
    yield opened
    opened.database.close()


@pytest.fixture
def job_id(office: Office) -> UUID:
    return begin_job(office, NewJob(name="Linnea Whitlock", town="Alder Ferry"), Order(change_id=uuid4()))


@pytest.fixture(scope="session")
def _stocked_once(tmp_path_factory: pytest.TempPathFactory, _tables_made_once: None) -> tuple[Office, TestClock]:
    """An office with the shipped library and a price for everything in it, made once a process; `stocked` copies it."""
    library = shipped_library()
    basis = replace(library.basis(), reminders={})  # what may be forgotten is asked in tests of its own
    clock = TestClock()
    data = tmp_path_factory.mktemp("stocked") / "data"
    office = open_office(Settings(data=data), basis, clock, library.cautions)
    prices = [Price(material=key, unit_price=Decimal("12.5")) for key in library.materials]
    edits = tuple(
        Edit(kind="price", thing_id=p.material, version=0, before=None, after=changes.fields_of(p, "price"))
        for p in prices
    )
    save(office, None, edits, Order(change_id=uuid4(), what="prices"))
    reviewed = {"reviewed_by": "A. Lawyer", "reviewed_on": "2027-01-04", "file": ""}
    papers = {
        "name": "Brackenfold Yards",
        "street": "14 Kiln Road",
        "license": "PA 000000",
        "tax_place": "Alder Ferry",
        "tax_on": "2027-02-01",
        "terms": {"title": "Terms", "text": "Changes are agreed in writing.", **reviewed},
        "notices": [{"title": "Notice of cancellation", "text": "You may cancel.", **reviewed}],
    }
    save(office, None, (changed("firm", office.firm_id, 1, papers),), Order(change_id=uuid4(), what="papers"))
    office.database.close()
    return office, clock


def copied(made: Office, data: Path, databases: postgres_server.Databases | None) -> None:
    """A data folder like another's that nobody has open."""
    shutil.copytree(made.settings.data, data, ignore=shutil.ignore_patterns(SERVER))
    if databases:
        databases.of(data, like=databases.made[made.settings.data])


@pytest.fixture
def stocked(
    tmp_path: Path, _stocked_once: tuple[Office, TestClock], databases: postgres_server.Databases | None
) -> Iterator[Office]:
    """An office with the shipped library and a price for everything in it."""
    made, then = _stocked_once
    settings = Settings(data=tmp_path / "data")
    copied(made, settings.data, databases)
    clock = TestClock()
    clock.now = then.now
    office = open_office(settings, made.shipped, clock, made.cautions)
    yield office
    office.database.close()


@pytest.fixture
def ready(stocked: Office) -> UUID:
    """A job with one taped terrace, two signers, a site that was seen."""
    job_id = begin_job(stocked, NewJob(name="Linnea Whitlock", street="27 Quarry Bend"), Order(change_id=uuid4()))
    add_zone(
        stocked,
        job_id,
        NewZone(title="Terrace", kind="dining", outline=rectangle(18, 16), measured="taped", assembly="unit-pavers"),
        Order(change_id=uuid4()),
    )
    opened = open_job(stocked, job_id)
    edits = (
        changed("client", opened.job.client.id, 1, {"second_name": "Joss Whitlock"}),
        changed("site", opened.job.site.id, 1, {"seen_on": "2027-03-01", "haul_distance": 40.0, "access_width": 6.0}),
    )
    save(stocked, job_id, edits, Order(change_id=uuid4()))
    return job_id
