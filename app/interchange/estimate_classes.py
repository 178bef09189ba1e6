"""The classes of an estimate in the firm's words, with the published accuracy that each is held beside."""

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.interchange.library_file import SHIPPED


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateClass:
    """One class: its name, what it is good for; published shares, the near and the far end below and above."""

    title: str
    words: str
    low: tuple[float, float]
    high: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateClasses:
    """All classes, the roughest first, and where their accuracy was published."""

    classes: tuple[EstimateClass, ...]
    source: str


@lru_cache(maxsize=4)
def estimate_classes(folder: Path = SHIPPED) -> EstimateClasses:
    """The classes of a library folder."""
    plain = tomllib.loads((folder / "estimate_classes.toml").read_text(encoding="utf-8"))
    found = tuple(from_plain(row, EstimateClass) for row in plain["class"])
    return EstimateClasses(classes=found, source=plain["source"])
