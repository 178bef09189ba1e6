"""The stages in which a place is built, as the library has them."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.domain.schedule.stages import Stage, Stages
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def building_stages(folder: Path = SHIPPED) -> Stages:
    """The stages in their order."""
    told = tomllib.loads((folder / "stages.toml").read_text(encoding="utf-8"))
    return Stages((from_plain(row, Stage) for row in told["stage"]), guides=told["guides"])
