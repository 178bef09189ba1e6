"""The risks that are offered where a fact of the site gives reason, as the library has them."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.domain.costing.risks import OfferedRisk
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def starting_risks(folder: Path = SHIPPED) -> tuple[OfferedRisk, ...]:
    """The offered risks, in their order."""
    told = tomllib.loads((folder / "risks.toml").read_text(encoding="utf-8"))
    return tuple(from_plain(row, OfferedRisk) for row in told["risk"])
