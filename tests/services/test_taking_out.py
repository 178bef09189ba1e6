"""A thing taken out of a job leaves nothing behind that names it: the job's file can be read again."""

from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.domain.job import Need, Option, Package, Packet, Run
from app.interchange.job_file import read_job_file, write_job_file
from app.services import jobs
from app.services.jobs import made, save
from app.services.office import Office
from tests.stocked import begun_job, order, stocked_office


@pytest.fixture
def office(tmp_path: Path):
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


@pytest.fixture
def job_id(office: Office) -> UUID:
    """A job whose first zone is named by a need, a run, an option, a package, and one of its ways by another option."""
    job_id = begun_job(office)
    job = jobs.open_job(office, job_id).job
    zone, run = job.zones[0], uuid4()
    way = next(one for one in job.alternatives if one.zone_id == zone.id)
    things = [
        ("need", Need(id=uuid4(), words="A table for ten", zone_ids=(zone.id, job.zones[1].id))),
        ("run", Run(id=run, title="Drain", zone_id=zone.id)),
        ("option", Option(id=uuid4(), title="Terrace", thing_ids=(zone.id, run))),
        ("option", Option(id=uuid4(), title="In stone", way_id=way.id)),
        ("package", Package(id=uuid4(), title="All of it", zone_ids=(zone.id,), way_ids=(way.id,))),
    ]
    save(office, job_id, tuple(made(kind, one) for kind, one in things), order())
    return job_id


def test_nothing_names_a_zone_that_was_taken_out(office: Office, job_id: UUID) -> None:
    opened = jobs.open_job(office, job_id)
    zone = opened.job.zones[0]
    save(office, job_id, jobs.removal(opened, "zone", zone.id), order())
    job = jobs.open_job(office, job_id).job
    assert read_job_file(write_job_file(job, opened.basis)).job == job
    assert [one.title for one in job.options] == ["Terrace"], "a way that is gone is no option"
    assert (job.options[0].thing_ids, job.packages[0].zone_ids, job.packages[0].way_ids) == ((job.runs[0].id,), (), ())
    assert [need.zone_ids for need in job.needs if need.words == "A table for ten"] == [(job.zones[0].id,)]


def test_undo_brings_back_the_names_as_well(office: Office, job_id: UUID) -> None:
    before = jobs.open_job(office, job_id)
    save(office, job_id, jobs.removal(before, "zone", before.job.zones[0].id), order())
    jobs.undo(office, job_id, uuid4())
    assert jobs.open_job(office, job_id).job == before.job


def test_packet_names_no_work_that_is_gone_however_it_went(office: Office, job_id: UUID) -> None:
    first, second, *_ = jobs.open_job(office, job_id).job.works
    packet = Packet(id=uuid4(), title="Paving", work_ids=(first.id, second.id))
    save(office, job_id, (made("packet", packet),), order())
    opened = jobs.open_job(office, job_id)
    save(office, job_id, jobs.removal(opened, "work", first.id), order())
    assert jobs.open_job(office, job_id).job.packets[0].work_ids == (second.id,)
    jobs.undo(office, job_id, uuid4())
    assert jobs.open_job(office, job_id).job == opened.job
