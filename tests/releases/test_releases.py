"""What earlier releases wrote is opened, brought forward and read by this one, and the signed copies are the same bytes."""

import json
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest

from app.db.repositories import record_check
from app.documents.verifying import faults_of_signed_copy
from app.domain.costing.estimate import estimate
from app.interchange.job_file import read_job_file, write_job_file
from app.services import jobs, revisions
from app.services.office import Office, open_office
from app.services.sheets import sheet
from tests.conftest import TestClock
from tests.releases.keeping import HERE, order, put_back
from tests.stocked import stocked_basis

pytestmark = pytest.mark.sqlite_file("what an earlier release left is a file")
RELEASES = sorted(path.parent for path in HERE.glob("*/told.json"))
MOST_BYTES = 300_000  # of one release's set


@pytest.fixture(params=RELEASES, ids=lambda path: path.name)
def release(request: pytest.FixtureRequest) -> Path:
    return request.param


@pytest.fixture
def told(release: Path) -> dict:
    return json.loads((release / "told.json").read_text())


@pytest.fixture
def office_then(release: Path, tmp_path: Path) -> Iterator[Office]:
    """The office of that release, opened by this program."""
    opened = open_office(put_back(release, tmp_path / "data"), stocked_basis(), TestClock())
    yield opened
    opened.database.close()


def test_there_is_a_release_and_each_set_is_small():
    assert RELEASES
    for path in RELEASES:
        assert sum(one.stat().st_size for one in path.iterdir()) <= MOST_BYTES, path.name


def test_database_of_a_release_is_brought_forward_and_nothing_in_it_is_lost(office_then: Office, told: dict):
    opened = jobs.open_job(office_then, UUID(told["job"]))
    assert [zone.title for zone in opened.job.zones] == told["zones"]
    assert opened.counter == told["counter"]
    assert sheet(office_then, opened.job.head.id).estimate.price_cents > 0
    with office_then.database.read() as connection:
        assert record_check.verify(connection) is None
        assert list(record_check.off_the_record(connection)) == []


def test_job_of_a_release_can_still_be_changed_and_undone(office_then: Office, told: dict):
    job_id = UUID(told["job"])
    opened = jobs.open_job(office_then, job_id)
    zone = opened.job.zones[0]
    edit = jobs.changed("zone", zone.id, opened.versions["zone", str(zone.id)], {"title": "Court"})
    jobs.save(office_then, job_id, (edit,), order("Zone"))
    assert jobs.open_job(office_then, job_id).job.zones[0].title == "Court"
    jobs.undo(office_then, job_id, order("Undo").change_id)
    assert jobs.open_job(office_then, job_id).job.zones[0].title == zone.title


def test_signed_copy_of_a_release_is_handed_out_as_it_was(office_then: Office, release: Path, told: dict):
    signed = revisions.hand_out(office_then, told["revision"], "signed")
    offered = revisions.hand_out(office_then, told["revision"], "offered")
    assert signed == (release / "signed.pdf").read_bytes()
    assert len(offered) == told["offered_bytes"]
    assert faults_of_signed_copy(signed, offered) == ()
    assert revisions.read(office_then, told["revision"]).price_cents == told["price_cents"]


def test_job_file_of_a_release_is_read_and_keeps_its_price(release: Path, told: dict):
    kept = read_job_file((release / "job.json").read_bytes())
    assert [zone.title for zone in kept.job.zones] == told["zones"]
    # what was signed is bytes and never moves; a draft may, where a way of working out was put right
    assert estimate(kept.job, kept.basis).price_cents == pytest.approx(told["draft_cents"], rel=0.02)
    again = read_job_file(write_job_file(kept.job, kept.basis))
    assert (again.job, again.basis) == (kept.job, kept.basis)
