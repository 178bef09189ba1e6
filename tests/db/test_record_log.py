"""What has happened since something was read: asked once for everything, and not known where it is too long ago."""

from uuid import UUID

import pytest

from app.db.repositories.record import Mark
from app.db.repositories.record_log import AsOf, RecordLog
from app.services.jobs import changed, save
from app.services.office import Office
from tests.services.test_reading_again import asked_of, order


def title(office: Office, job_id: UUID, words: str) -> None:
    save(office, job_id, (changed("job", job_id, 10**6, {"title": words}),), order())


def look(office: Office, log: RecordLog) -> AsOf:
    with office.database.read() as connection:
        return log.look(connection)


def test_edits_are_told_by_the_job_or_the_firm_they_are_about(office: Office, job_id: UUID) -> None:
    log, known = RecordLog(), Mark(0, "", "")
    read = look(office, log)
    assert log.since(read, known, str(job_id)) == log.since(read, known, None)
    title(office, job_id, "Side yard")
    save(office, None, (changed("firm", office.firm_id, 10**6, {"owner": "Maren Oduya"}),), order())
    with asked_of(office) as asked:
        look(office, log)
    assert len(asked.statements) == 1
    of_job, of_firm = log.since(read, known, str(job_id)), log.since(read, known, None)
    assert of_job
    assert of_firm
    assert (of_job.edited, of_firm.edited) == ({("job", str(job_id))}, {("firm", office.firm_id)})
    assert (of_job.mark.seq, of_firm.mark.seq) == (read.seq + 1, read.seq + 2)
    other = log.since(read, known, "another job", client_id="nobody")
    assert other
    assert (other.edited, other.mark) == (frozenset(), known)


def test_what_is_too_long_ago_is_not_known(office: Office, job_id: UUID) -> None:
    log, known = RecordLog(most=4), Mark(0, "", "")
    reads = []
    for number in range(6):
        title(office, job_id, f"Yard {number}")
        reads.append(look(office, log))
    found = [log.since(read, known, str(job_id)) for read in reads]
    assert [one is None for one in found] == [True, True, True, True, False, False]
    assert found[-1]
    assert found[-1].edited == frozenset()


@pytest.mark.sqlite_file("an earlier one is put back under an open office by copying the file")
def test_another_record_is_known_as_another(office: Office, job_id: UUID) -> None:
    log, known = RecordLog(), Mark(0, "", "")
    read = look(office, log)
    earlier = office.settings.database.read_bytes() if office.database.close() is None else b""
    title(office, job_id, "Side yard")
    look(office, log)
    office.database.close()
    office.settings.database.write_bytes(earlier)
    title(office, job_id, "Front yard")
    assert look(office, log).seq == read.seq + 1
    assert log.since(read, known, str(job_id)) is None
