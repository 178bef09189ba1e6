"""Every job starts with the owner's own hours and what belongs to the job as a whole; none of it starts at nothing."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.domain.job import PlaceKind
from app.interchange.starting_works import starting_works
from app.services import jobs
from app.services.estimates import add_starting_works
from app.services.office import Office
from app.services.sheets import sheet
from app.services.starting import lacking
from tests.stocked import begun_job, order, stocked_office


@pytest.fixture
def office(tmp_path: Path) -> Iterator[Office]:
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


def test_new_job_has_every_starting_work_in_order(office: Office):
    job = jobs.open_job(office, begun_job(office)).job
    of_job = [work.assembly for work in job.works if work.place is PlaceKind.JOB]
    assert of_job == [one.assembly for one in starting_works()]
    assert len(of_job) >= 11
    assert lacking(office, job) == ()


def test_starting_works_of_a_job_with_zones_cost_something(office: Office):
    view = sheet(office, begun_job(office))
    own = {work.id: work.assembly for work in view.job.works if work.place is PlaceKind.JOB}
    spent = dict.fromkeys(own.values(), 0)
    for one, line in zip(view.estimate.requirements, view.estimate.lines, strict=False):
        if one.work_id in own:
            spent[own[one.work_id]] += line.cents
    assert [assembly for assembly, cents in spent.items() if cents <= 0] == []


def test_works_taken_out_come_back_on_demand_and_only_those(office: Office):
    job_id = begun_job(office)
    opened = jobs.open_job(office, job_id)
    gone = [work for work in opened.job.works if work.assembly in ("own-meetings", "cleanup")]
    for work in gone:
        jobs.save(office, job_id, jobs.removal(jobs.open_job(office, job_id), "work", work.id), order())
    assert [work.assembly for work in lacking(office, jobs.open_job(office, job_id).job)] == ["own-meetings", "cleanup"]
    add_starting_works(office, job_id, order())
    job = jobs.open_job(office, job_id).job
    assert lacking(office, job) == ()
    assert sorted(work.assembly for work in job.works) == sorted(work.assembly for work in opened.job.works)


def test_adding_when_nothing_is_lacking_changes_nothing(office: Office):
    job_id = begun_job(office)
    before = jobs.open_job(office, job_id).counter
    add_starting_works(office, job_id, order())
    assert jobs.open_job(office, job_id).counter == before
