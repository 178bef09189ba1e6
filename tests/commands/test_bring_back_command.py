"""`outlay bring-back`: what would change is said, what both changed is asked, and it is one change in the end."""

import json
from pathlib import Path
from uuid import UUID

import pytest

from app.__main__ import main
from app.config import Settings
from app.services.jobs import changed, open_job, save
from app.services.office import Office, open_office
from app.services.opening_along import back_file, open_along, read_file
from app.services.takings import file_of, of_job, take_along
from tests.conftest import TestClock
from tests.offering import order
from tests.served import serving


def titled(office: Office, job_id: UUID, **fields: str) -> None:
    version = open_job(office, job_id).version("job", job_id)
    save(office, job_id, (changed("job", job_id, version, fields),), order())


@pytest.fixture
def back(stocked: Office, ready: UUID, tmp_path: Path) -> Path:
    """The file a job comes back in; its title was changed at both, its next step away alone."""
    one = take_along(stocked, ready, "the laptop in the bag", order())
    away = open_office(Settings(data=tmp_path / "away"), stocked.shipped, TestClock(), stocked.cautions)
    open_along(away, read_file(file_of(stocked, one)), order())
    titled(away, ready, title="Upper yard", next_step="Call the mason")
    titled(stocked, ready, title="Back yard, upper half")
    (tmp_path / "back.zip").write_bytes(back_file(away, ready, of_job(away, ready)[0]))
    away.database.close()
    return tmp_path / "back.zip"


def run(office: Office, *words: object) -> int:
    return main(["--data", str(office.settings.data), "bring-back", *map(str, words)])


def test_what_both_changed_is_asked_and_nothing_is_taken_in(
    stocked: Office, ready: UUID, back: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = open_job(stocked, ready).counter
    assert run(stocked, back) == 1
    said = capsys.readouterr().out
    assert "here Back yard, upper half; the laptop in the bag Upper yard" in said
    assert "--keep here or --keep away" in said
    assert run(stocked, back, "--look", "--keep", "away") == 0
    assert "kept: Upper yard" in capsys.readouterr().out
    assert open_job(stocked, ready).counter == before


def test_with_a_side_it_is_taken_in_once(
    stocked: Office, ready: UUID, back: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(stocked, back, "--keep", "here") == 0
    assert "Taken in. It is one change" in capsys.readouterr().out
    head = open_job(stocked, ready).job.head
    assert (head.title, head.next_step) == ("Back yard, upper half", "Call the mason")
    assert run(stocked, back, "--keep", "away") == 0
    assert "came back from the laptop in the bag before" in capsys.readouterr().out
    assert open_job(stocked, ready).job.head.title == "Back yard, upper half"


def test_file_that_is_none_is_a_sentence(stocked: Office, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "no.zip").write_bytes(b"not a zip")
    assert run(stocked, tmp_path / "no.zip") == 2
    assert run(stocked, tmp_path / "nowhere.zip") == 2
    assert "cannot be read" in capsys.readouterr().err


def test_while_the_pages_are_served_the_server_does_it(
    stocked: Office, ready: UUID, back: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with serving(stocked.settings.data):
        assert run(stocked, back, "--keep", "away", "--json") == 0
    assert json.loads(capsys.readouterr().out)["taken"] is True
    assert open_job(stocked, ready).job.head.title == "Upper yard"
