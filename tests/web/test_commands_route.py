"""What the command line may ask of a running server: only with the owner's mark, once for each change."""

from uuid import UUID

import pytest

from app.db.backup import begin_epoch
from app.services import job_files
from app.services.home import every_job
from app.services.office import open_office
from app.web.access import command_mark
from tests.services.yard_of_ours import priced, with_library, yard
from tests.web.conftest import Browser

CHANGE = UUID("00000000-0000-4000-8000-000000000011")


@pytest.fixture
def content(office) -> bytes:
    priced(with_library(office), "base-stone-34")
    return job_files.export_job(office, yard(office))


def asked(web: Browser, content: bytes, **headers: str | bytes):
    marked = {"x-outlay-command": command_mark(web.office.settings, CHANGE)}
    return web.post("/commands/import", content=content, headers=marked | headers)


def test_import_answers_once_it_is_saved(web, office, content):
    answer = asked(web, content)
    assert answer.status_code == 200
    assert [line.job_id for line in every_job(office) if line.job_id == answer.json()["job_id"]]
    assert answer.json()["missing"] == 0


def test_the_same_command_again_makes_nothing_twice(web, office, content):
    first, again = asked(web, content), asked(web, content)
    assert first.json() == again.json()
    assert len(every_job(office)) == 2


@pytest.mark.parametrize("mark", ["", "x", f"{CHANGE}", f"{CHANGE}.", f"{CHANGE}.{'0' * 64}", f"{CHANGE}.é"])
def test_a_pages_token_is_not_enough(web, office, content, mark):
    answer = asked(web, content, **{"x-outlay-command": mark.encode("latin-1")})
    assert answer.status_code == 403
    assert "command line" in answer.json()["sentence"]
    assert len(every_job(office)) == 1


def test_a_command_from_a_foreign_page_or_host_is_refused(web, office, content):
    assert asked(web, content, origin="http://evil.example").status_code == 403
    assert asked(web, content, host="evil.example").status_code == 421
    assert len(every_job(office)) == 1


def test_the_owners_mark_opens_no_page_of_ours(web, job_id):
    marked = {"x-outlay-command": command_mark(web.office.settings, CHANGE), "x-outlay-token": ""}
    assert web.post(f"/jobs/{job_id}/undo", {"sheet": "plan"}, headers=marked).status_code == 403


def test_what_is_no_job_file_is_a_sentence(web, content):
    answer = asked(web, b"nonsense")
    assert answer.status_code == 422
    assert answer.json()["sentence"].startswith("This is not a job file")


def test_a_page_from_before_a_restore_is_refused(web, office, job_id):
    """A restore begins an epoch; a page that was open before shows other versions than the data has now."""
    before = web.token
    with office.database.write() as connection:
        begin_epoch(connection, "Restored", office.clock())
    office.epoch = open_office(office.settings, office.shipped, office.clock).epoch
    refused = web.post(f"/jobs/{job_id}/undo", {"sheet": "plan"}, headers={"x-outlay-token": before})
    assert refused.status_code == 403
    assert "Open it afresh" in refused.text
