"""The firm's lock: made when first needed, private, of one firm; what is said of a copy by the office and the command."""

import asyncio
import json
from pathlib import Path
from uuid import UUID

import pytest

from app.__main__ import main
from app.documents.locking import lock_of
from app.documents.verifying import LOCK_BROKEN
from app.services import backups, locks, revisions
from app.services.locks import NOT_OURS, OURS, RECORD_KNOWN, lock_key, look_at
from app.services.office import Office
from tests.offering import offer, sign


@pytest.fixture
def copy(stocked: Office, ready: UUID) -> bytes:
    """The proposal, signed by both."""
    one = offer(stocked, ready)
    sign(stocked, ready, one.id, "Linnea Whitlock")
    assert lock_of(revisions.hand_out(stocked, one.id, "signed")) is None
    sign(stocked, ready, one.id, "Joss Whitlock")
    return revisions.hand_out(stocked, one.id, "signed")


def test_copy_is_locked_when_the_last_has_signed_with_a_key_of_its_own(stocked: Office, copy: bytes) -> None:
    found = lock_of(copy)
    assert found is not None
    assert found.fingerprint == lock_key(stocked).fingerprint
    folder = stocked.settings.data / "keys"
    assert {one.name: one.stat().st_mode & 0o777 for one in folder.iterdir()} == {"lock.key": 0o600, "lock.crt": 0o600}
    assert not backups.faults(stocked)


def test_key_stays_the_same_and_one_that_is_lost_is_made_anew(stocked: Office, copy: bytes) -> None:
    first = lock_key(stocked)
    assert lock_key(stocked) == first
    (stocked.settings.data / "keys" / "lock.key").unlink()
    assert lock_key(stocked).fingerprint != first.fingerprint
    said = asyncio.run(look_at(stocked, copy)).said
    assert NOT_OURS in said


def test_office_says_whose_copy_it_is_and_finds_its_record(stocked: Office, copy: bytes) -> None:
    looked = asyncio.run(look_at(stocked, copy))
    assert looked.whole
    assert OURS in looked.said
    assert RECORD_KNOWN in looked.said
    assert "It is kept here, byte for byte, as proposal 1." in looked.said
    other = bytearray(copy)
    other[-20] ^= 1
    looked = asyncio.run(look_at(stocked, bytes(other)))
    assert not looked.whole
    assert locks.NOT_KEPT in looked.said


@pytest.mark.parametrize("data", ["here", "nowhere"])
def test_verify_a_file_with_and_without_a_data_folder(
    data: str, stocked: Office, copy: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "copy.pdf").write_bytes(copy)
    (tmp_path / "more.pdf").write_bytes(copy + b"\nmore")
    folder = str(stocked.settings.data if data == "here" else tmp_path / "none")
    assert main(["--data", folder, "verify", str(tmp_path / "copy.pdf"), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["whole"], said["locked"], said["key"]) == (True, True, lock_key(stocked).fingerprint)
    assert main(["--data", folder, "verify", str(tmp_path / "more.pdf")]) == 1
    assert LOCK_BROKEN in capsys.readouterr().out
    assert main(["--data", folder, "verify", str(tmp_path / "gone.pdf")]) == 2
