"""Files by the hash of their content."""

import os
from hashlib import sha256
from pathlib import Path

import pytest

from app.db.disk import DiskTrouble
from app.db.files import FileDamaged, FileStore
from app.domain.errors import NotFound


@pytest.fixture
def store(tmp_path: Path) -> FileStore:
    return FileStore(tmp_path / "files")


def test_kept_file_is_read_back_by_its_hash(store: FileStore) -> None:
    name = store.keep(b"a picture")
    assert name == sha256(b"a picture").hexdigest()
    assert store.read(name) == b"a picture"
    assert store.has(name)
    assert list(store.names()) == [name]


def test_keeping_twice_changes_nothing(store: FileStore) -> None:
    name = store.keep(b"a picture")
    place = store.folder / name[:2] / name
    before = place.stat()
    assert store.keep(b"a picture") == name
    assert (place.stat().st_ino, place.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_damaged_file_is_named_never_handed_out_and_mended_by_keeping_it_again(store: FileStore) -> None:
    name = store.keep(b"a picture")
    (store.folder / name[:2] / name).write_bytes(b"a pigture")
    with pytest.raises(FileDamaged, match="is damaged"):
        store.read(name)
    assert store.damaged() == (name,)
    store.keep(b"a picture")
    assert store.read(name) == b"a picture"
    assert store.damaged() == ()


def test_missing_file_is_a_sentence(store: FileStore) -> None:
    with pytest.raises(NotFound, match="A backup may have it"):
        store.read("0" * 64)


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "0" * 63, "0" * 64 + "\n", "A" * 64, "/" + "0" * 63])
def test_name_that_is_no_hash_reaches_no_file(store: FileStore, name: str) -> None:
    with pytest.raises(NotFound, match="names no file"):
        store.read(name)
    with pytest.raises(NotFound):
        store.has(name)


def test_crash_before_the_rename_leaves_nothing_kept(store: FileStore, monkeypatch: pytest.MonkeyPatch) -> None:
    def crash(*_: object) -> None:
        raise OSError("no space left on device")

    monkeypatch.setattr(os, "fsync", crash)
    with pytest.raises(DiskTrouble, match="no space"):
        store.keep(b"a picture")
    assert list(store.names()) == []
    assert not list((store.folder / "aside").iterdir())


def test_file_is_flushed_before_it_takes_its_name_and_the_folder_after(
    store: FileStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = sha256(b"a picture").hexdigest()
    seen: list[bool] = []
    flush = os.fsync

    def watch(handle: int) -> None:
        seen.append(store.has(name))
        flush(handle)

    monkeypatch.setattr(os, "fsync", watch)
    store.keep(b"a picture")
    assert seen == [False, True, True]


def test_half_written_files_are_cleared_at_start(store: FileStore) -> None:
    name = store.keep(b"a picture")
    (store.folder / "aside" / "half").write_bytes(b"a pic")
    store.clear_aside()
    assert not list((store.folder / "aside").iterdir())
    assert list(store.names()) == [name]
