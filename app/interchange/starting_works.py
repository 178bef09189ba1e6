"""What every new job starts with: the library's list of works on the job itself (own hours, moving in, cleaning up)."""

import tomllib
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.interchange.library_file import SHIPPED


@dataclass(frozen=True, slots=True, kw_only=True)
class StartingWork:
    """One work every job starts with: an assembly, with parameters that overrule its own."""

    assembly: str
    parameters: dict[str, str] = field(default_factory=dict)


@lru_cache(maxsize=4)
def starting_works(folder: Path = SHIPPED) -> tuple[StartingWork, ...]:
    """The works of `own_hours.toml`, in their order."""
    plain = tomllib.loads((folder / "own_hours.toml").read_text(encoding="utf-8"))
    return tuple(from_plain(row, StartingWork) for row in plain["work"])
