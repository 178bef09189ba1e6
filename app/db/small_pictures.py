"""Small pictures for lists, by the hash of the picture they were made of. Thrown away, they are made again."""

from contextlib import suppress
from pathlib import Path
from uuid import uuid4

from app.db.files import HASH
from app.domain.errors import NotFound


class SmallPictures:
    """A folder of small pictures beside the data."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def read(self, name: str) -> bytes | None:
        """The small picture of a kept one; None while none was made."""
        try:
            return self._place(name).read_bytes() or None
        except FileNotFoundError:
            return None

    def keep(self, name: str, content: bytes) -> None:
        """Keep the small picture of a kept one, where the disk takes it: it is made again when it is not there."""
        place, aside = self._place(name), self.folder / f"aside-{uuid4().hex}"
        with suppress(OSError):
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            try:
                aside.write_bytes(content)
                aside.replace(place)
            finally:
                aside.unlink(missing_ok=True)

    def drop(self, name: str) -> None:
        """Take the small picture of a kept one out."""
        self._place(name).unlink(missing_ok=True)

    def _place(self, name: str) -> Path:
        if not HASH.fullmatch(name):
            raise NotFound(f"“{name[:70]}” names no file.")
        return self.folder / name
