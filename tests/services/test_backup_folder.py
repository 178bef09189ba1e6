"""Backups make themselves, are named only once they were checked, and are thinned; trouble is said until one is made."""

import asyncio
import json
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from app.db.backup import CopyBroken
from app.db.files import FileStore
from app.db.serving import alone
from app.domain.errors import Refused
from app.services import backup_folder, backups, jobs
from app.services.backup_folder import TROUBLE, due, in_danger, kept, look, make, make_if_due, thin_out
from app.services.backups import folder_of
from app.services.jobs import NewJob, begin_job
from app.services.office import Office
from tests.offering import offer, sign
from tests.services.test_backups import photo, restored
from tests.services.yard_of_ours import told


@pytest.fixture
def clock(office: Office, monkeypatch: pytest.MonkeyPatch):
    """Sets the time at which backups are made and looked at."""

    def at(hours: float) -> None:
        now = began + timedelta(hours=hours)
        monkeypatch.setattr(office, "clock", lambda: now)

    began = office.clock()
    at(0)
    return at


def made_here(office: Office) -> backups.Manifest:
    """What the worker does, in this process."""
    target = backup_folder.fresh_name(folder_of(office.settings), office.clock())
    return backups.back_up(office, target, beside=True)


def test_backup_of_the_worker_is_whole_and_restores(office: Office, job_id, tmp_path: Path) -> None:
    photo(office, job_id)
    made = asyncio.run(make(office))
    one = kept(folder_of(office.settings))[0]
    assert backups.look_into(one.path) == made
    assert made.files == 1
    other = restored(one.path, tmp_path / "laptop", office.clock)
    assert jobs.open_job(other, job_id).job == jobs.open_job(office, job_id).job
    assert backups.faults(other) == ()
    other.database.close()


def test_file_beside_is_kept_once_and_a_damaged_one_is_found(office: Office, job_id, clock) -> None:
    name = photo(office, job_id)
    made_here(office)
    clock(1)
    begin_job(office, NewJob(name="Priya Lindqvist"), told())
    made_here(office)
    folder = folder_of(office.settings)
    beside = folder / "files" / name[:2] / name
    assert len(list((folder / "files").glob("??/*"))) == 1
    beside.write_bytes(b"rotten")
    for one in kept(folder):
        with pytest.raises(backups.OutlayError, match="damaged"):
            backups.look_into(one.path)
    clock(2)
    made_here(office)  # puts it right
    assert backups.look_into(kept(folder)[-1].path).files == 1


def test_due_after_a_change_then_not_for_an_hour(office: Office, job_id, clock) -> None:
    assert due(office)
    made_here(office)
    assert not due(office)
    begin_job(office, NewJob(name="Priya Lindqvist"), told())
    assert not due(office)
    clock(1.01)
    assert due(office)


def test_signing_makes_one_due_at_once(stocked: Office, ready, tmp_path: Path) -> None:
    made_here(stocked)
    offered = offer(stocked, ready)
    assert not due(stocked)
    sign(stocked, ready, offered.id, "Linnea Whitlock")
    assert due(stocked)
    made_here(stocked)
    assert not due(stocked)


def test_thinning_keeps_hours_days_months_and_the_files_they_name(office: Office, job_id, clock) -> None:
    name = photo(office, job_id)
    first = made_here(office)
    folder = folder_of(office.settings)
    source = kept(folder)[0].path
    for hours in range(1, 60):
        clock(hours)
        backup_folder.fresh_name(folder, office.clock()).write_bytes(source.read_bytes())
    orphan = FileStore(folder / "files").keep(b"named by none")
    thin_out(folder)
    left = kept(folder)
    assert len(left) == 24 + 2  # the last day by the hour, and the newest of each day before
    assert FileStore(folder / "files").has(name)
    assert not FileStore(folder / "files").has(orphan)
    assert first.beside == (name,)


def test_backup_that_cannot_be_read_takes_no_file_away(office: Office, job_id, clock) -> None:
    photo(office, job_id)
    made_here(office)
    folder = folder_of(office.settings)
    clock(1)
    backup_folder.fresh_name(folder, office.clock()).write_bytes(b"nonsense")
    orphan = FileStore(folder / "files").keep(b"perhaps named by it")
    thin_out(folder)
    assert FileStore(folder / "files").has(orphan)


def test_two_in_one_second_and_a_clock_set_back_have_names_of_their_own(office: Office, job_id, clock) -> None:
    made_here(office)
    begin_job(office, NewJob(name="Priya Lindqvist"), told())
    made_here(office)
    assert len(kept(folder_of(office.settings))) == 2
    clock(-48)
    begin_job(office, NewJob(name="Teodor Asante"), told())
    assert due(office)
    made_here(office)
    assert len(kept(folder_of(office.settings))) == 3


@pytest.mark.parametrize("shared", [False, True])
def test_one_made_by_hand_while_one_makes_itself_waits_for_its_turn(
    office: Office, job_id, clock, monkeypatch, shared: bool
) -> None:
    """`shared`: other programs may serve the same database, so that the folder is held while one is made."""
    if shared:
        monkeypatch.setattr(backup_folder, "_not_twice", lambda settings: alone(folder_of(settings)))
    photo(office, job_id)

    async def three() -> list[backups.Manifest]:
        return await asyncio.gather(make(office), make(office), make(office))

    made = asyncio.run(three())
    assert len({one.made_at for one in made}) == 3
    left = [backups.look_into(one.path) for one in kept(folder_of(office.settings))]  # the others: of the same hour
    assert made[-1] in left


def test_clock_set_back_is_said_and_nothing_is_lost(office: Office, job_id, clock) -> None:
    assert in_danger(office) == ()
    clock(-48)
    begin_job(office, NewJob(name="Priya Lindqvist"), told())  # its entry carries the wrong time
    assert in_danger(office) == ()  # newest entry and clock agree again
    clock(-100)
    assert "Set the clock right" in in_danger(office)[0]
    assert backups.faults(office) == ()


def test_trouble_is_kept_and_said_until_one_was_made(office: Office, job_id, monkeypatch: pytest.MonkeyPatch) -> None:
    folder_of(office.settings).write_bytes(b"in the way")  # no folder can be made here
    asyncio.run(make_if_due(office))
    assert "No backup could be made" in look(office).wrong[0]
    folder_of(office.settings).unlink()
    asyncio.run(make_if_due(office))
    assert TROUBLE not in office.database.memory
    assert len(kept(folder_of(office.settings))) == 1


def test_surprise_does_not_end_the_making_of_backups(office: Office, job_id, monkeypatch: pytest.MonkeyPatch) -> None:
    async def some_looks() -> None:
        third, looks = asyncio.Event(), count(1)

        def surprised(_office: Office) -> bool:
            if next(looks) == 3:
                third.set()
            raise ValueError("nobody thought of it")

        monkeypatch.setattr(backup_folder, "due", surprised)
        going = asyncio.create_task(backup_folder.keep_making(office, first=0, every=0.01))
        await asyncio.wait_for(third.wait(), 20)
        going.cancel()

    asyncio.run(some_looks())
    assert "No backup could be made" in in_danger(office)[0]


def test_one_to_another_folder_holds_everything_and_is_noted(office: Office, job_id, tmp_path: Path) -> None:
    photo(office, job_id)
    stick = tmp_path / "stick"
    stick.mkdir()
    made = asyncio.run(make(office, stick))
    assert made.beside == ()
    one = kept(stick)[0]
    assert json.loads((folder_of(office.settings) / "elsewhere.json").read_bytes())["where"] == str(one.path)
    assert look(office).elsewhere is not None
    alone = tmp_path / "moved.zip"
    one.path.rename(alone)
    assert backups.look_into(alone) == made


@pytest.mark.parametrize("folder", ["stick", "/no/such/stick"])
def test_folder_that_is_none_is_refused(office: Office, job_id, folder: str) -> None:
    with pytest.raises(Refused, match="no folder"):
        asyncio.run(make(office, Path(folder)))


def test_folder_inside_the_data_is_refused(office: Office, job_id) -> None:
    with pytest.raises(Refused, match="inside the data"):
        asyncio.run(make(office, office.settings.data))


def test_what_was_left_by_a_killed_backup_is_no_backup(office: Office, job_id, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_archive: Path) -> backups.Manifest:
        raise CopyBroken("a bad disk")

    monkeypatch.setattr(backups, "look_into", broken)
    with pytest.raises(CopyBroken):
        made_here(office)
    assert kept(folder_of(office.settings)) == []
    assert list(folder_of(office.settings).glob("*.zip*")) == []


def test_folder_that_syncs_is_said(office: Office, job_id, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backup_folder, "unsafe_place", lambda folder: f"The data lies in {folder}, which syncs.")
    assert in_danger(office) == (f"The data lies in {office.settings.data}, which syncs.",)


def test_leftovers_of_a_killed_backup_go_after_a_day(office: Office, job_id) -> None:
    folder = folder_of(office.settings)
    (folder / "outlay-backup-killed").mkdir(parents=True)
    (folder / "outlay-20270309-120000.zip.part").write_bytes(b"half")
    written = datetime.fromtimestamp((folder / "outlay-backup-killed").stat().st_mtime, UTC)
    backup_folder.clear_leftovers(folder, written + timedelta(hours=1))
    assert len(list(folder.iterdir())) == 2
    backup_folder.clear_leftovers(folder, written + timedelta(hours=25))
    assert list(folder.iterdir()) == []
