"""The firm that is played with: the real application on a real data folder, reached by a laptop and a paired tablet."""

import os
import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from random import Random
from tempfile import mkdtemp
from typing import Any
from uuid import UUID, uuid4

import httpx2 as httpx
import pytest
from starlette.testclient import TestClient

from app.config import Settings
from app.db.repositories import record, record_check, things
from app.db.repositories import revisions as papers
from app.db.session import Database
from app.domain.basis import Basis, Price
from app.domain.change import Edit
from app.domain.costing.estimate import estimate
from app.domain.plan.shapes import rectangle
from app.domain.sharing import Over, Plain, Share
from app.interchange.library_file import load_library
from app.main import create_app
from app.services import backups, contracts, sheets
from app.services.agreed import agreed_of
from app.services.changes import fields_of
from app.services.jobs import NewJob, OpenJob, Order, begin_job, changed, open_job, save
from app.services.office import Office, open_office, work_as
from app.services.zones import NewZone, add_zone
from app.web.access import SESSION, token_for
from app.web.device import DEVICE
from app.web.reached import Reached
from app.web.sharing import Sharing
from app.worker.running import Worker
from tests.conftest import TestClock
from tests.web.conftest import ORIGIN
from tests.web.reaching import CALLED, NETWORK, cookie, let_in
from tests.working_here import blank_here, never_ready

TABLET = "Maren's tablet"
OWNER = "Maren Oduya"
LIBRARY = load_library()


@dataclass(frozen=True)
class Stock:
    """A data folder to be copied: one job that can be offered, one device that was let in."""

    data: Path
    job: str
    tablet: str  # its token
    clock: TestClock


@cache
def stock() -> Stock:
    """Made once a process (all invented)."""
    with ids_drawn(0):
        return _stocked()


def _stocked() -> Stock:
    work_as("whoever began it")  # so that nothing of it is the owner's to undo
    data, clock = Path(mkdtemp(prefix="outlay-played-")) / "data", TestClock()
    office = open_office(Settings(data=data), shipped(), clock, LIBRARY.cautions)
    job = begin_job(office, NewJob(name="Linnea Whitlock", street="27 Quarry Bend", town="Alder Ferry"), order())
    terrace = NewZone(
        title="Terrace", kind="dining", outline=rectangle(18, 16), measured="taped", assembly="unit-pavers"
    )
    bed = NewZone(title="Bed", outline=rectangle(6, 9, at=(60, 0)), measured="taped", assembly="planting-bed")
    for zone in (terrace, bed):
        add_zone(office, job, zone, order())
    reviewed = {"reviewed_by": "A. Lawyer", "reviewed_on": "2027-01-04", "file": ""}
    papers = {
        "name": "Brackenfold Yards",
        "owner": OWNER,
        "street": "4 Millrace Lane",
        "license": "PA 000000",
        "tax_place": "Alder Ferry",
        "tax_on": "2027-02-01",
        "terms": {"title": "Terms", "text": "Changes are agreed in writing.", **reviewed},
        "notices": [{"title": "Notice of cancellation", "text": "You may cancel.", **reviewed}],
    }
    save(office, None, (changed("firm", office.firm_id, 1, papers),), order("papers"))
    opened = open_job(office, job)
    edits = (
        changed("client", opened.job.client.id, 1, {"second_name": "Joss Whitlock"}),
        changed("site", opened.job.site.id, 1, {"seen_on": "2027-03-01", "haul_distance": 40.0, "access_width": 6.0}),
    )
    save(office, job, edits, order())
    lines = sheets.sheet(office, job).estimate.lines
    prices = [priced(key) for key in sorted({line.key for line in lines if line.kind == "material"})]
    save(office, None, tuple(prices), order("prices"))
    token = let_in(office, Over.SECURE, name=TABLET)
    office.database.close()
    work_as("")
    return Stock(data, str(job), token, clock)


def order(what: str = "") -> Order:
    """An order of nobody's page."""
    return Order(change_id=uuid4(), what=what)


def priced(material: str) -> Edit:
    """The edit that types a price (invented)."""
    price = Price(material=material, unit_price=Decimal("12.5"))
    return Edit(kind="price", thing_id=material, version=0, before=None, after=fields_of(price, "price"))


@cache
def application() -> Any:
    """One application a process; each play gives it an office of its own, as a start of the program does."""
    kept = stock()
    return create_app(open_office(Settings(data=kept.data), shipped(), kept.clock, LIBRARY.cautions))


@dataclass
class Device:
    """A browser with its cookies, its page opened some time ago: it knows the token of then."""

    who: str
    client: TestClient
    office: Callable[[], Office]
    over: Over
    token: str = ""
    last: str = ""  # the id of its newest change

    def opens_its_page(self) -> None:
        """Read a page afresh; from then on its token is of now."""
        self.client.get("/pair" if self.over is Over.SECURE else "/")
        self.token = token_for(self.office(), self.client.cookies.get(cookie(self.over, SESSION)) or "")

    def sends(self, path: str, form: Mapping[str, str]) -> httpx.Response:
        """A form, as htmx sends it from the page that is open."""
        origin = str(self.client.base_url).rstrip("/")
        headers = {"origin": origin, "x-outlay-token": self.token, "hx-request": "true"}
        return self.client.post(path, data=dict(form), headers=headers, follow_redirects=False)

    def reads(self, path: str) -> httpx.Response:
        """A page or a file."""
        return self.client.get(path, follow_redirects=False)


@cache
def place() -> Path:
    """Where every play of this process takes place, one after the other."""
    return Path(mkdtemp(prefix="outlay-play-"))


ENGINES: dict[tuple[Path, str], Any] = {}


def database_kept(settings: Settings, whose: str = "the program") -> Database:
    """A database that knows nothing, on an engine that has its statements compiled from the play before."""
    made = Database(settings.database)
    made._engine = ENGINES.setdefault((settings.database, whose), made._engine)
    return made


class Played:
    """A firm of its own for one play."""

    def __init__(self) -> None:
        kept = stock()
        self.folder = folder = place()
        self.job = kept.job
        shutil.rmtree(folder)
        folder.mkdir()
        shutil.copytree(kept.data, folder / "data")
        self.settings, self.clock = Settings(data=folder / "data"), TestClock()
        self.clock.now = kept.clock.now
        self.office = self._started()
        app = application()
        here = TestClient(app, base_url=ORIGIN, raise_server_exceptions=False)
        there = TestClient(
            Reached(app, Over.SECURE),
            base_url=app.state.sharing.share.link(Over.SECURE),
            raise_server_exceptions=False,
            client=("192.168.43.50", 40000),
        )
        there.cookies.set(cookie(Over.SECURE, DEVICE), kept.tablet)
        self.devices = (
            Device(OWNER, here, lambda: self.office, Over.HERE),
            Device(TABLET, there, lambda: self.office, Over.SECURE),
        )
        for device in self.devices:
            device.opens_its_page()

    def _started(self) -> Office:
        office = open_office(self.settings, shipped(), self.clock, LIBRARY.cautions)
        state, now = application().state, self.clock()
        state.office, state.sharing = office, Sharing(application(), office)
        state.sharing.share = Share(network=NETWORK, called=CALLED, since=now, last_asked=now, plain=Plain.CLOSED)
        return office

    def backs_up(self, number: int) -> None:
        """Make a native backup."""
        backups.back_up(self.office, self.folder / f"{number}.zip")

    def restores(self, number: int) -> None:
        """The program ends, the backup takes the place of the data, the program starts."""
        self.office.database.close()
        backups.restore(self.settings, self.folder / f"{number}.zip", clock=self.clock)
        self.office = self._started()

    @property
    def head(self) -> str:
        """The newest entry of the record: the same as long as nothing is changed."""
        with self.office.database.read() as connection:
            return record.head(connection)

    def faults_of_record(self) -> list[str]:
        """What does not hold of the record, of rows against it, of files."""
        with self.office.database.read() as connection:
            broken = record_check.verify(connection)
            return [*([broken] if broken else []), *record_check.off_the_record(connection)]

    def job_from_disk(self, job_id: str) -> OpenJob:
        """A job as somebody reads it who starts now and knows nothing."""
        fresh = Office(
            settings=self.settings,
            database=database_kept(self.settings, "a look from outside"),
            firm_id=self.office.firm_id,
            shipped=self.office.shipped,
            clock=self.clock,
        )
        try:
            return open_job(fresh, UUID(job_id))
        finally:
            fresh.database.close()

    def jobs(self) -> set[str]:
        """The ids of all jobs there are."""
        with self.office.database.read() as connection:
            return set(things.all_job_ids(connection, self.office.firm_id))

    def dearest(self, job_id: str) -> list[str]:
        """The materials of a job, those first that cost most."""
        lines = sheets.sheet(self.office, UUID(job_id)).estimate.lines
        return [line.key for line in sorted(lines, key=lambda one: -one.cents) if line.kind == "material"]

    def price_of_paper(self, id_: str) -> int:
        """What the contract comes to by a paper that was offered [cents]."""
        with self.office.database.read() as connection:
            found = papers.read_revision(connection, self.office.firm_id, id_)
        cents = found.price_cents if found else None
        assert cents is not None
        return cents

    def contract_comes_to(self, job_id: str) -> set[int]:
        """The sum of the signed contract with its changes [cents], as agreements add it up and as billing does."""
        agreed = agreed_of(self.office, UUID(job_id))
        billed = contracts.contract_of(self.office, sheets.sheet(self.office, UUID(job_id)))
        assert agreed is not None
        assert billed is not None
        return {agreed.contract.summed.cents, billed.cents + sum(one.cents for one in billed.changes)}

    def price_shown(self, job_id: str) -> int:
        """The price a sheet shows [cents]."""
        return sheets.sheet(self.office, UUID(job_id)).estimate.price_cents

    def price_from_nothing(self, job_id: str) -> int:
        """The price of the job on disk, worked out by somebody who kept nothing [cents]."""
        opened = self.job_from_disk(job_id)
        return estimate(opened.job, opened.basis, sheets.day_at(self.office, opened.job)).price_cents

    def ends(self) -> None:
        """Let go of it."""
        self.office.database.close()


@cache
def shipped() -> Basis:
    """The library, of which nothing is asked that may be forgotten: tests of its own ask that."""
    return replace(LIBRARY.basis(), reminders={})


@contextmanager
def ids_drawn(begin: int) -> Iterator[None]:
    """Ids are drawn from a beginning: who plays again from there plays the same, things in the same order too."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "urandom", Random(begin).randbytes)
        yield


@contextmanager
def played_fast() -> Iterator[None]:
    """Papers are one page that tells what would be on it, and statements are compiled once: all else is as served."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("app.services.office.database_of", database_kept)
        patch.setattr(Worker, "_do", blank_here)
        patch.setattr(Worker, "_stand_ready", never_ready)
        yield
