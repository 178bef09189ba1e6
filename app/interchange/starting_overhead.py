"""What the overhead worksheet offers to begin from, as the library has it."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.domain.year import OverheadItem
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def starting_overhead(folder: Path = SHIPPED) -> tuple[OverheadItem, ...]:
    """The usual items of a year, without money."""
    told = tomllib.loads((folder / "overhead.toml").read_text(encoding="utf-8"))
    return tuple(from_plain(row, OverheadItem) for row in told["item"])
