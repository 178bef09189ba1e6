"""Who was erased, apart from the database: ids by chance alone, so that a backup from before is erased again.

The list lies in the data folder and beside the backups; a restore puts back neither.
"""

from pathlib import Path

import msgspec

from app.db.disk import writing_to
from app.db.files import write_whole

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


class Erasures:
    """The list, in as many folders as keep it; what any of them holds counts."""

    def __init__(self, *folders: Path) -> None:
        self.folders = folders

    def read(self) -> list[Erasure]:
        """Every erasing that any of the folders knows, in order."""
        known = {_of(one): one for folder in reversed(self.folders) for one in _read(folder / LIST)}
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


def _read(place: Path) -> list[Erasure]:
    try:
        return msgspec.json.decode(place.read_bytes(), type=list[Erasure])
    except FileNotFoundError:
        return []
