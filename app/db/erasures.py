"""Who was erased, apart from the database: ids by chance alone, so that a backup from before is erased again.

The list lies in the data folder and beside the backups; a restore puts back neither.
"""

from pathlib import Path

import msgspec

from app.db.disk import writing_to
from app.db.files import write_whole
from app.domain.errors import OutlayError

LIST = "erased.json"


class Erasure(msgspec.Struct, kw_only=True, frozen=True):
    """One erasing: the client (empty: only the papers of a job), the jobs, whether signed papers went, too.

    `left` are files still to be taken from the disk, before the database is written anew; None once all is done.
    """

    client_id: str
    job_ids: tuple[str, ...]
    papers: bool
    at: str
    left: tuple[str, ...] | None = None


class ListDamaged(OutlayError):
    """The list of who was erased cannot be read."""

    status = 503


class Erasures:
    """The list, in as many folders as keep it; what any of them holds counts."""

    def __init__(self, *folders: Path) -> None:
        self.folders = folders

    def read(self) -> list[Erasure]:
        """Every erasing that any of the folders knows, in order. Raises: ListDamaged where none of them can be read."""
        held = [_read(folder / LIST) for folder in reversed(self.folders)]
        if any(one is None for one in held) and not any(held):
            raise ListDamaged(
                f"The list of who was erased ({self.folders[0] / LIST}) cannot be read, nor that beside the backups. "
                "Put back one of them from another disk: without it, a backup could bring an erased client along."
            )
        known = {_of(one): one for some in held for one in some or ()}
        return sorted(known.values(), key=lambda one: one.at)

    def write(self, erasure: Erasure) -> None:
        """Add an erasing, or say how far it is; on the disk in every folder when this returns."""
        self._keep([*(one for one in self.read() if _of(one) != _of(erasure)), erasure])

    def take_back(self, erasure: Erasure) -> None:
        """Forget an erasing that came to nothing."""
        self._keep([one for one in self.read() if _of(one) != _of(erasure)])

    def _keep(self, known: list[Erasure]) -> None:
        content = msgspec.json.encode(known)
        for folder in self.folders:
            with writing_to(folder):
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                write_whole(folder / LIST, content)


def _of(one: Erasure) -> tuple[str, tuple[str, ...], bool]:
    return one.client_id, one.job_ids, one.papers


def _read(place: Path) -> list[Erasure] | None:
    """What a list holds; nothing where there is none, None where it is damaged."""
    try:
        return msgspec.json.decode(place.read_bytes(), type=list[Erasure])
    except FileNotFoundError:
        return []
    except msgspec.DecodeError:
        return None
