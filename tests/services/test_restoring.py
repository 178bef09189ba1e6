"""A restore puts everything in place or nothing; killed in it, the next start says so and what was there is there."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from app.db.backup import look_inside
from app.db.disk import DiskTrouble
from app.db.repositories import record
from app.db.session import DatabaseBroken
from app.domain.basis import Basis
from app.services import backups, jobs
from app.services.jobs import NewJob, begin_job
from app.services.office import Office, open_office
from tests.services.test_backups import photo
from tests.services.yard_of_ours import told


@pytest.fixture
def archive(office: Office, job_id, tmp_path: Path) -> Path:
    photo(office, job_id)
    backups.back_up(office, tmp_path / "backup.zip")
    begin_job(office, NewJob(name="Priya Lindqvist"), told())
    office.database.close()
    return tmp_path / "backup.zip"


@pytest.mark.sqlite_file("a file takes the place of another")
def test_disk_that_fails_in_the_middle_leaves_what_was_there(
    office: Office, job_id, archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace = Path.replace

    def failing(one: Path, target: Path) -> Path:
        if target == office.settings.database and "restoring-" in str(one):
            raise OSError(28, "No space left on device")
        return replace(one, target)

    monkeypatch.setattr(Path, "replace", failing)
    with pytest.raises(DiskTrouble, match="full"):
        backups.restore(office.settings, archive, clock=office.clock)
    monkeypatch.undo()
    again = open_office(office.settings, Basis(), office.clock)
    assert look_inside(office.settings.database).jobs == 2
    assert backups.faults(again) == ()
    again.database.close()


@pytest.mark.sqlite_file("files take the place of others; tests/db/test_postgres.py kills a restore into a server")
@pytest.mark.parametrize("moment", ["outlay.db", "files", "restored files", "restored outlay.db"])
def test_killed_in_it_the_data_is_whole_or_the_next_start_says_what_to_do(
    office: Office, job_id, archive: Path, moment: str
) -> None:
    program = f"""
import os, signal
from pathlib import Path
from app.config import Settings
from app.services import backups
replace = Path.replace
def dying(one, target):
    place = ("restored " if "restoring-" in str(one) else "") + one.name
    done = replace(one, target)
    if place == {moment!r} and "aside" not in str(one):
        os.kill(os.getpid(), signal.SIGKILL)
    return done
Path.replace = dying
backups.restore(Settings(data=Path({str(office.settings.data)!r})), Path({str(archive)!r}))
"""
    ended = subprocess.run([sys.executable, "-c", program], env=os.environ, capture_output=True, check=False)
    assert ended.returncode == -signal.SIGKILL, ended.stderr.decode()
    if moment != "restored outlay.db":
        with pytest.raises(DatabaseBroken, match=r"broken off.*before-restore"):
            open_office(office.settings, Basis(), office.clock)
        kept = next(office.settings.data.glob("before-restore-*"))
        assert look_inside(kept / "outlay.db").jobs == 2
        backups.restore(office.settings, archive, clock=office.clock)
        assert not list(office.settings.data.glob("restoring-*"))
        assert look_inside(kept / "outlay.db").jobs == 2
    again = open_office(office.settings, Basis(), office.clock)
    assert jobs.open_job(again, job_id).job.photos
    assert backups.faults(again) == ()
    with again.database.read() as connection:
        assert record.epoch(connection) == 2
    again.database.close()


def test_restored_twice_the_second_has_an_epoch_of_its_own_and_both_pasts_are_kept(
    office: Office, archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = office.clock()
    for _ in range(2):
        backups.restore(office.settings, archive, clock=lambda: now)  # in one and the same second
    again = open_office(office.settings, Basis(), office.clock)
    with again.database.read() as connection:
        assert record.epoch(connection) == 3  # a page of the first restore can save nothing into the second
    again.database.close()
    assert sorted(look_inside(one).jobs for one in office.settings.data.glob("before-restore-*/outlay.db")) == [1, 2]
