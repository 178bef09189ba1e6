"""The words a crew sheet takes from the library: cautions in full, and the steps of building in their order."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from app.domain.codec import from_plain
from app.interchange.library_file import SHIPPED, Caution

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A step of building: what it is called, what is checked before going on, what picture is taken before covering."""

    key: str
    title: str
    check: str = ""
    photo: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewWords:
    """Cautions and steps by key; the steps stand in the order they are done."""

    cautions: Mapping[str, Caution] = field(default_factory=dict)
    steps: Mapping[str, Step] = field(default_factory=dict)


@lru_cache(maxsize=4)
def crew_words(folder: Path = SHIPPED) -> CrewWords:
    """Read the words of a library. A file that is not there is an empty list."""
    return CrewWords(
        cautions=_rows(folder / "cautions.toml", "caution", Caution), steps=_rows(folder / "steps.toml", "step", Step)
    )


def _rows(path: Path, table: str, kind: type[T]) -> Mapping[str, T]:
    if not path.is_file():
        return {}
    rows = tomllib.loads(path.read_text(encoding="utf-8")).get(table, {})
    return {key: from_plain({"key": key, **row}, kind) for key, row in rows.items()}
