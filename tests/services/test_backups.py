"""A backup is whole or refused; a restore looks inside first, keeps what was there, and is itself on record."""

import sqlite3
import zipfile
from dataclasses import replace
from pathlib import Path

import msgspec
import pytest
from sqlalchemy import select

from app.db.backup import CopyBroken, look_inside
from app.db.files import FileStore
from app.db.migrate import copy_of
from app.db.repositories import record, record_check
from app.db.rows import rows_of, tables_of
from app.db.tables.office import RECORD
from app.domain.basis import Basis
from app.domain.errors import NotFound, Refused
from app.domain.job import Photo
from app.interchange.job_file import read_job_file
from app.services import backups, jobs
from app.services.jobs import NewJob, begin_job, made, save
from app.services.office import open_office
from tests.services.yard_of_ours import key, told


def photo(office, job_id) -> str:
    name = FileStore(office.settings.files).keep(b"a picture")
    save(office, job_id, (made("photo", Photo(id=key(5), file=name)),), told())
    return name


def rewritten(archive: Path, target: Path, change: dict[str, bytes]) -> Path:
    """The same zip with some files changed or added."""
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            new.writestr(name, change.pop(name, old.read(name)))
        for name, content in change.items():
            new.writestr(name, content)
    return target


@pytest.fixture
def archive(office, job_id, tmp_path) -> Path:
    photo(office, job_id)
    backups.back_up(office, tmp_path / "backup.zip")
    return tmp_path / "backup.zip"


def test_backup_holds_database_book_files_and_each_job_as_a_job_file(office, job_id, archive):
    with zipfile.ZipFile(archive) as held:
        names = held.namelist()
        job_name = next(name for name in names if name.startswith("jobs/"))
        assert read_job_file(held.read(job_name)).job == jobs.open_job(office, job_id).job
    assert {"manifest.json", "outlay.db", "book.json"} <= set(names)
    assert sum(name.startswith("files/") for name in names) == 1
    assert "secret" not in "".join(names)


def test_backup_while_another_connection_writes_is_consistent(office, job_id, tmp_path):
    with office.database.write() as connection:
        connection.exec_driver_sql("UPDATE job SET title = 'half written'")
        copy_of(office.database, tmp_path / "copy.db", office.settings.migrations)
        connection.exec_driver_sql("UPDATE job SET title = 'Back yard'")
    with sqlite3.connect(tmp_path / "copy.db") as copy:
        assert copy.execute("SELECT title FROM job").fetchall() == [("Back yard",)]
    copy.close()
    assert look_inside(tmp_path / "copy.db").jobs == 1


def test_backup_never_writes_over_a_file(office, tmp_path):
    (tmp_path / "there.zip").write_bytes(b"mine")
    with pytest.raises(Refused, match="already"):
        backups.back_up(office, tmp_path / "there.zip")
    assert (tmp_path / "there.zip").read_bytes() == b"mine"


def test_damaged_file_is_left_out_and_named(office, job_id, tmp_path):
    name = photo(office, job_id)
    (office.settings.files / name[:2] / name).write_bytes(b"rotten")
    made_one = backups.back_up(office, tmp_path / "b.zip")
    assert made_one.damaged == (name,)
    assert any("damaged" in one for one in backups.faults(office))


def every_row(office):
    with office.database.read() as connection:
        return {table.name: list(rows_of(connection, table)) for table in tables_of(connection)}


def restored(archive, folder, clock):
    from app.config import Settings

    settings = Settings(data=folder)
    backups.restore(settings, archive, clock=clock)
    return open_office(settings, Basis(), clock)


def test_restore_brings_jobs_and_files_back_and_begins_an_epoch_on_record(office, job_id, archive, tmp_path):
    other = restored(archive, tmp_path / "other", office.clock)
    assert jobs.open_job(other, job_id).job == jobs.open_job(office, job_id).job
    assert backups.faults(other) == ()
    with other.database.read() as connection:
        assert record.epoch(connection) == 2
        last = connection.execute(select(RECORD).order_by(RECORD.c.seq.desc()).limit(1)).one()
        assert record_check.verify(connection) is None
    assert (last.kind, last.epoch) == ("restore", 2)
    assert last.what.startswith("Restored from the backup of 2027-03-09")
    other.database.close()


def test_restore_keeps_what_was_there(office, job_id, archive):
    later = begin_job(office, NewJob(name="Priya Lindqvist"), told())
    office.database.close()
    backups.restore(office.settings, archive, clock=office.clock)
    kept = next(office.settings.data.glob("before-restore-*"))
    assert look_inside(kept / "outlay.db").jobs == 2
    again = open_office(office.settings, Basis(), office.clock)
    with pytest.raises(NotFound):
        jobs.open_job(again, later)
    again.database.close()


def test_restored_data_goes_on_working(office, job_id, archive, tmp_path):
    other = restored(archive, tmp_path / "other", office.clock)
    begin_job(other, NewJob(name="Teodor Asante"), told())
    assert backups.back_up(other, tmp_path / "second.zip").epoch == 2
    other.database.close()


@pytest.mark.parametrize(
    "change",
    [
        {"files/aa/" + "a" * 64: b"not what its name says"},
        {"../escape.txt": b"out"},
        {"manifest.json": b"{}"},
        {"manifest.json": b"nonsense"},
        {"outlay.db": b"nonsense"},
    ],
)
def test_backup_that_does_not_hold_is_refused_and_nothing_is_touched(office, job_id, archive, tmp_path, change):
    bad = rewritten(archive, tmp_path / "bad.zip", change)
    before = every_row(office)
    with pytest.raises(CopyBroken):
        backups.restore(office.settings, bad)
    assert every_row(office) == before
    assert not list(office.settings.data.glob("before-restore-*"))


def test_database_whose_record_was_changed_is_refused(office, job_id, archive, tmp_path):
    with zipfile.ZipFile(archive) as held:
        held.extract("outlay.db", tmp_path / "x")
    with sqlite3.connect(tmp_path / "x" / "outlay.db") as raw:
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute("UPDATE record SET body = replace(body, 'Linnea', 'Nobody') WHERE seq = 2")
    raw.close()
    bad = rewritten(archive, tmp_path / "bad.zip", {"outlay.db": (tmp_path / "x" / "outlay.db").read_bytes()})
    with pytest.raises(CopyBroken, match="broken at entry 2"):
        backups.restore(office.settings, bad)


@pytest.mark.parametrize(("counted", "said"), [(False, "its end was cut off"), (True, "not the one")])
def test_database_with_a_cut_tail_is_refused(office, job_id, archive, tmp_path, counted, said):
    # a chain of hashes alone does not miss its end: a counter does, and the list holds the newest hash as well
    with zipfile.ZipFile(archive) as held:
        held.extract("outlay.db", tmp_path / "x")
    with sqlite3.connect(tmp_path / "x" / "outlay.db") as raw:
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute("DELETE FROM record_edit WHERE seq = (SELECT max(seq) FROM record)")
        raw.execute("DELETE FROM record WHERE seq = (SELECT max(seq) FROM record)")
        if counted:
            raw.execute("UPDATE counter SET value = (SELECT max(seq) FROM record) WHERE scope = 'record'")
    raw.close()
    bad = rewritten(archive, tmp_path / "bad.zip", {"outlay.db": (tmp_path / "x" / "outlay.db").read_bytes()})
    with pytest.raises(CopyBroken, match=said):
        backups.restore(office.settings, bad)


def test_file_that_a_job_names_and_is_gone_is_a_fault(office, job_id):
    name = photo(office, job_id)
    assert backups.faults(office) == ()
    (office.settings.files / name[:2] / name).unlink()
    assert [one for one in backups.faults(office) if name[:12] in one]


def test_signed_copy_that_does_not_begin_with_the_offer_is_a_fault(office, job_id):
    from app.db.repositories import revisions
    from app.db.repositories.revisions import Revision, Signer

    store = FileStore(office.settings.files)
    files = {"offered": store.keep(b"%PDF offered"), "signed-1": store.keep(b"%PDF other, signed")}
    one = Revision(
        id=str(key(900)),
        job_id=str(job_id),
        number=1,
        kind="proposal",
        state="signed",
        issued_at="2027-03-01T10:00:00+00:00",
        holds_until=None,
        price_cents=1,
        job_counter=1,
        signers=(Signer(name="Linnea Whitlock"),),
        files=files,
    )
    with office.database.write() as connection:
        revisions.insert_revision(connection, office.firm_id, one, dict.fromkeys(files, 10))
    assert "Proposal 1: The signed copy does not begin with the offered document." in backups.faults(office)
    gone = replace(one, id=str(key(901)), number=2, files={"offered": "e" * 64})
    with office.database.write() as connection:
        revisions.insert_revision(connection, office.firm_id, gone, {"offered": 1})
    assert any(said.startswith("Proposal 2: not here") for said in backups.faults(office))


def test_thing_changed_past_the_record_is_a_fault(office, job_id):
    assert backups.faults(office) == ()
    with office.database.write() as connection:
        connection.exec_driver_sql("UPDATE client SET version = version + 1, name = 'Nobody'")
    assert [one for one in backups.faults(office) if "client" in one and "without the record" in one]


def test_backup_that_knows_another_record_is_a_fault_of_this_one_and_one_from_before_a_restore_is_not(office, job_id):
    kept = backups.folder_of(office.settings) / "outlay-20270309-150000.zip"
    backups.back_up(office, kept)
    assert backups.faults(office) == ()
    manifest = backups.manifest_of(kept)
    for epoch, seen in ((manifest.epoch, True), (manifest.epoch + 1, False)):
        told = msgspec.json.encode(msgspec.structs.replace(manifest, head="0" * 64, epoch=epoch))
        rewritten(kept, kept.with_name("outlay-20270309-160000.zip"), {"manifest.json": told})
        assert bool([one for one in backups.faults(office) if "outlay-20270309-160000.zip" in one]) is seen
