"""Keys in the data folder: a folder only its owner opens (0700), files only its owner reads (0600), written whole."""

import os
from pathlib import Path
from uuid import uuid4

from app.domain.errors import Refused


class KeyFolder:
    """Small private files by name: kept aside, flushed, then named; a crash leaves the old one or the new one."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def read(self, name: str) -> bytes | None:
        """A file's content; None when it was never written. Raises: Refused when it cannot be read."""
        try:
            return (self.folder / name).read_bytes()
        except FileNotFoundError:
            return None
        except OSError as wrong:
            raise Refused(f"{self.folder / name} cannot be read ({wrong.strerror}).") from wrong

    def write(self, name: str, content: bytes) -> Path:
        """Write a file in place of what it was. Raises: Refused when the disk does not take it."""
        place, aside = self.folder / name, self.folder / f"{name}.{uuid4().hex}"
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.folder.chmod(0o700)
            with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            aside.replace(place)
            handle = os.open(self.folder, os.O_RDONLY)
            os.fsync(handle)
            os.close(handle)
        except OSError as wrong:
            raise Refused(f"{place} cannot be written ({wrong.strerror}). Nothing was changed.") from wrong
        finally:
            aside.unlink(missing_ok=True)
        return place

    def place(self, name: str) -> Path:
        """Where a file lies, for a library that opens it itself."""
        return self.folder / name
