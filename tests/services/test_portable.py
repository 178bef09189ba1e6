"""The portable backup sets up a new laptop with everything, reads without this program, and holds no key in the open."""

import hashlib
import json
import subprocess
import zipfile
from pathlib import Path

import pytest

from app.config import Settings
from app.db.backup import CopyBroken
from app.db.key_folder import KeyFolder
from app.db.repositories import record
from app.domain.basis import Basis
from app.domain.errors import BadValue, Refused
from app.interchange.sealed_keys import seal, unseal
from app.services import backups, jobs, portable
from app.services.jobs import NewJob, begin_job
from app.services.office import Office, open_office
from tests.offering import offer, sign
from tests.services.test_backups import photo, rewritten
from tests.services.yard_of_ours import told

PASSPHRASE = "stone over gravel"


@pytest.fixture
def archive(office: Office, job_id, tmp_path: Path) -> Path:
    photo(office, job_id)
    KeyFolder(office.settings.data / "keys").write("authority.key", b"a private key")
    portable.write(office, tmp_path / "portable.zip", passphrase=PASSPHRASE)
    return tmp_path / "portable.zip"


def laptop(archive: Path, folder: Path, clock, **more) -> Office:
    settings = Settings(data=folder)
    portable.restore(settings, archive, clock=clock, **more)
    return open_office(settings, Basis(), clock)


def test_new_laptop_has_jobs_files_record_and_goes_on_working(office: Office, job_id, archive, tmp_path: Path) -> None:
    other = laptop(archive, tmp_path / "laptop", office.clock)
    assert jobs.open_job(other, job_id).job == jobs.open_job(office, job_id).job
    assert backups.faults(other) == ()
    with other.database.read() as connection:
        assert record.epoch(connection) == 2
    begin_job(other, NewJob(name="Teodor Asante"), told())
    assert jobs.undo(other, job_id, told().change_id) is not None  # what was done here is undone there
    other.database.close()


def test_signed_proposal_comes_along_with_its_bytes(stocked: Office, ready, tmp_path: Path) -> None:
    sign(stocked, ready, offer(stocked, ready).id, "Linnea Whitlock")
    about = portable.write(stocked, tmp_path / "p.zip")
    other = laptop(tmp_path / "p.zip", tmp_path / "laptop", stocked.clock)
    assert backups.faults(other) == ()
    again = portable.write(other, tmp_path / "again.zip")
    assert (again.jobs, again.files, again.schema) == (about.jobs, about.files, about.schema)
    assert again.entries == about.entries + 1  # the restore
    other.database.close()


def counted(rows: bytes) -> list[bytes]:
    """The rows without the count of all entries: the restore is one more."""
    return [row for row in rows.splitlines() if b'"scope":"record"' not in row]


def test_there_and_back_every_row_is_equal(office: Office, job_id, archive, tmp_path: Path) -> None:
    other = laptop(archive, tmp_path / "laptop", office.clock)
    portable.write(other, tmp_path / "back.zip")
    other.database.close()
    with zipfile.ZipFile(archive) as one, zipfile.ZipFile(tmp_path / "back.zip") as two:
        tables = [name for name in one.namelist() if name.startswith("rows/")]
        assert len(tables) > 20
        for name in set(tables) - {"rows/record.jsonl", "rows/epoch.jsonl"}:
            assert counted(one.read(name)) == counted(two.read(name)), name
        before, after = one.read("rows/record.jsonl"), two.read("rows/record.jsonl")
    assert after.startswith(before)


def test_checksums_are_read_by_the_system_own_program(archive: Path, tmp_path: Path) -> None:
    # the form of `sha256sum` (GNU coreutils manual, "cksum output modes")
    with zipfile.ZipFile(archive) as held:
        held.extractall(tmp_path / "out")
    subprocess.run(["sha256sum", "-c", "--strict", "--quiet", "SHA256SUMS"], cwd=tmp_path / "out", check=True)


def test_keys_are_sealed_and_only_the_passphrase_opens_them(office: Office, archive: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(archive) as held:
        everything = b"".join(held.read(name) for name in held.namelist())
        names = held.namelist()
    assert b"a private key" not in everything
    assert "secret" not in names
    with pytest.raises(BadValue, match="does not open"):
        laptop(archive, tmp_path / "wrong", office.clock, passphrase="stone over grave")
    assert not (tmp_path / "wrong" / "outlay.db").exists()
    laptop(archive, tmp_path / "right", office.clock, passphrase=PASSPHRASE).database.close()
    place = tmp_path / "right" / "keys" / "authority.key"
    assert place.read_bytes() == b"a private key"
    assert place.stat().st_mode & 0o077 == 0
    laptop(archive, tmp_path / "without", office.clock).database.close()
    assert not (tmp_path / "without" / "keys").exists()


def test_passphrase_too_short_is_refused_before_anything_is_written(office: Office, job_id, tmp_path: Path) -> None:
    with pytest.raises(BadValue, match="12 characters"):
        portable.write(office, tmp_path / "p.zip", passphrase="short")
    assert list(tmp_path.glob("p.zip*")) == []


def test_sealed_keys_that_were_changed_do_not_open() -> None:
    sealed = seal({"a.key": b"x"}, PASSPHRASE)
    assert unseal(sealed, PASSPHRASE) == {"a.key": b"x"}
    for change in ({"n": 2**16}, {"p": 2}, {"sealed": "AAAA"}, {"n": 2**30}):
        with pytest.raises(BadValue):
            unseal(json.dumps({**json.loads(sealed), **change}).encode(), PASSPHRASE)


@pytest.mark.parametrize("name", ["rows/job.jsonl", "about.json", "SHA256SUMS", "book.json", "../out", "files/aa/x"])
def test_changed_or_strange_content_is_refused_and_nothing_is_touched(
    office: Office, archive: Path, tmp_path: Path, name: str
) -> None:
    bad = rewritten(archive, tmp_path / "bad.zip", {name: b"{}"})
    with pytest.raises(CopyBroken):
        portable.restore(office.settings, bad)
    assert not list(office.settings.data.glob("before-restore-*"))


def test_rows_changed_together_with_their_checksum_are_refused_by_the_record(
    office: Office, archive: Path, tmp_path: Path
) -> None:
    with zipfile.ZipFile(archive) as held:
        rows, sums = held.read("rows/record.jsonl"), held.read("SHA256SUMS").decode()
    forged = rows.replace(b"Linnea", b"Nobody")
    assert forged != rows
    sums = sums.replace(hashlib.sha256(rows).hexdigest(), hashlib.sha256(forged).hexdigest())
    bad = rewritten(archive, tmp_path / "bad.zip", {"rows/record.jsonl": forged, "SHA256SUMS": sums.encode()})
    with pytest.raises(CopyBroken, match="broken at entry"):
        portable.restore(office.settings, bad)


def test_what_was_there_is_kept_and_a_target_that_is_there_is_refused(office: Office, job_id, archive: Path) -> None:
    with pytest.raises(Refused, match="already"):
        portable.write(office, archive)
    office.database.close()
    portable.restore(office.settings, archive, clock=office.clock)
    assert len(list(office.settings.data.glob("before-restore-*/outlay.db"))) == 1
