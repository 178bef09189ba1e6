"""Files by the hash of their content: what is kept never changes, and a damaged file is never handed out.

A file is written aside, flushed to the disk, and then takes its name: after a crash it is there whole or not at all.
"""

import os
import re
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from uuid import uuid4

from app.db.disk import writing_to
from app.domain.errors import NotFound, OutlayError

HASH = re.compile(r"[0-9a-f]{64}")
ASIDE = "aside"


class FileDamaged(OutlayError):
    """What lies on the disk is not what was kept."""

    status = 503


class FileStore:
    """A folder of files, each named by the SHA-256 (hex) of its content: `ab/ab12…`."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, content: bytes) -> str:
        """Keep a file and give back its hash. It is on the disk when this returns. Keeping it twice changes nothing."""
        name = sha256(content).hexdigest()
        place = self._place(name)
        if not self._is_whole(place, content):
            self._write(place, content)
        return name

    def read(self, name: str) -> bytes:
        """The content of a kept file, checked against its hash.

        Raises: NotFound when it was never kept; FileDamaged when the disk holds something else.
        """
        place = self._place(name)
        try:
            content = place.read_bytes()
        except FileNotFoundError:
            raise NotFound(f"The file {name[:12]}… is not here. A backup may have it.") from None
        if sha256(content).hexdigest() != name:
            raise FileDamaged(f"The file {name[:12]}… on this machine is damaged. Take it from a backup.")
        return content

    def has(self, name: str) -> bool:
        """Whether a file by this hash lies here (its content is not looked at)."""
        return self._place(name).is_file()

    def names(self) -> Iterator[str]:
        """Hashes of all kept files, in order."""
        for place in sorted(self.folder.glob("??/*")):
            if HASH.fullmatch(place.name):
                yield place.name

    def drop(self, name: str) -> None:
        """Take a file out that nothing names any more: of a folder of backups, or of what a client left behind."""
        self._place(name).unlink(missing_ok=True)

    def damaged(self) -> tuple[str, ...]:
        """Hashes of kept files whose content no longer matches."""
        return tuple(n for n in self.names() if sha256(self._place(n).read_bytes()).hexdigest() != n)

    def clear_aside(self) -> None:
        """Remove what a crash left half written. Only at start, before anything is kept."""
        for place in (self.folder / ASIDE).glob("*"):
            place.unlink(missing_ok=True)

    def _place(self, name: str) -> Path:
        if not HASH.fullmatch(name):
            raise NotFound(f"“{name[:70]}” names no file.")
        return self.folder / name[:2] / name

    def _is_whole(self, place: Path, content: bytes) -> bool:
        try:
            return place.read_bytes() == content
        except FileNotFoundError:
            return False

    def _write(self, place: Path, content: bytes) -> None:
        with writing_to(self.folder):
            aside = self.folder / ASIDE / uuid4().hex
            for folder in (aside.parent, place.parent):
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            write_whole(place, content, aside=aside)
            flush(self.folder)


def write_whole(place: Path, content: bytes, *, aside: Path | None = None, mode: int = 0o666) -> None:
    """Write a file aside, flush it, give it its name, flush the folder: a crash leaves it whole or as it was.

    Raises: OSError, with nothing left behind.
    """
    aside = aside or place.with_name(f".{uuid4().hex}.part")
    try:
        with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(place)
    finally:
        aside.unlink(missing_ok=True)
    flush(place.parent)


def flush(place: Path) -> None:
    """Have a file or folder on the disk: a new name is there only when its folder is."""
    handle = os.open(place, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
