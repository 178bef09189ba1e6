"""What tests share: an office on a real database made by the migrations."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, settings

from app.config import Settings
from app.domain.basis import Basis, Price
from app.domain.change import Edit
from app.domain.plan.shapes import rectangle
from app.interchange.library_file import load_library
from app.services import changes
from app.services.jobs import NewJob, Order, begin_job, changed, open_job, save
from app.services.office import Office, open_office
from app.services.zones import NewZone, add_zone

# the same examples at every run, however long each takes, so that a run says something about the code;
# `--hypothesis-profile=default` draws others
settings.register_profile(
    "same", derandomize=True, database=None, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("same")


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


@pytest.fixture
def stocked(tmp_path):
    """An office with the shipped library and a price for everything in it."""
    library = load_library()
    basis = replace(library.basis(), reminders={})  # what may be forgotten is asked in tests of its own
    office = open_office(Settings(data=tmp_path / "data"), basis, TestClock(), library.cautions)
    prices = [Price(material=key, unit_price=Decimal("12.5")) for key in library.materials]
    edits = tuple(
        Edit(kind="price", thing_id=p.material, version=0, before=None, after=changes.fields_of(p, "price"))
        for p in prices
    )
    save(office, None, edits, Order(change_id=uuid4(), what="prices"))
    reviewed = {"reviewed_by": "A. Lawyer", "reviewed_on": "2027-01-04", "file": ""}
    papers = {
        "name": "Brackenfold Yards",
        "license": "PA 000000",
        "tax_place": "Alder Ferry",
        "tax_on": "2027-02-01",
        "terms": {"title": "Terms", "text": "Changes are agreed in writing.", **reviewed},
        "notices": [{"title": "Notice of cancellation", "text": "You may cancel.", **reviewed}],
    }
    save(office, None, (changed("firm", office.firm_id, 1, papers),), Order(change_id=uuid4(), what="papers"))
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
