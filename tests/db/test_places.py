"""Folders no database should lie in, by what the system says is mounted and by what syncing programs leave behind."""

from pathlib import Path

import pytest

from app.db.places import unsafe_place

MOUNTS = "/dev/vda / ext4 rw 0 0\nnas:/jobs /srv/nas nfs4 rw 0 0\n//box/share /mnt/my\\040share cifs rw 0 0\n"


@pytest.fixture
def mounts(tmp_path: Path) -> Path:
    (tmp_path / "mounts").write_text(MOUNTS)
    return tmp_path / "mounts"


@pytest.mark.parametrize(("folder", "kind"), [("/srv/nas/outlay/data", "nfs4"), ("/mnt/my share/data", "cifs")])
def test_disk_of_the_network_is_said(mounts: Path, folder: str, kind: str) -> None:
    assert kind in unsafe_place(Path(folder), mounts=mounts)


@pytest.mark.parametrize("folder", ["/srv/data", "/srv/nasty/data", "/mnt/mine"])
def test_disk_of_this_machine_is_not(mounts: Path, folder: str) -> None:
    assert unsafe_place(Path(folder), mounts=mounts) == ""


@pytest.mark.parametrize("name", ["Dropbox", "OneDrive - Brackenfold", "Google Drive", "Nextcloud"])
def test_folder_called_like_a_synced_one_is_said(tmp_path: Path, mounts: Path, name: str) -> None:
    assert "keeps the same on several machines" in unsafe_place(tmp_path / name / "firm" / "data", mounts=mounts)


def test_folder_with_the_mark_of_a_syncing_program_is_said(tmp_path: Path, mounts: Path) -> None:
    (tmp_path / "shared" / ".stfolder").mkdir(parents=True)
    assert str(tmp_path / "shared") in unsafe_place(tmp_path / "shared" / "data", mounts=mounts)


def test_system_that_does_not_tell_what_is_mounted_is_no_warning(tmp_path: Path) -> None:
    assert unsafe_place(tmp_path, mounts=tmp_path / "none") == ""
