"""What the first call goes by: typical recipes for an early range, what people ask for, what every job starts with."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from app.interchange.library_file import SHIPPED
from app.interchange.starting_works import starting_works


@dataclass(frozen=True, slots=True)
class FirstCallLists:
    """`early`: the table of typical recipes; `needs`: words by kind of zone; `works`: assemblies of every job."""

    early: Mapping[str, Any]
    needs: Mapping[str, tuple[str, ...]]
    works: tuple[str, ...]

    def kind_of(self, words: str) -> str:
        """The kind of zone a usual need belongs to; empty for words of one's own."""
        return next((kind for kind, usual in self.needs.items() if words in usual), "")


@lru_cache(maxsize=4)
def first_call_lists(folder: Path = SHIPPED) -> FirstCallLists:
    """The lists of a library folder."""
    plain = {name: tomllib.loads((folder / f"{name}.toml").read_text("utf-8")) for name in _FILES}
    return FirstCallLists(
        early=plain["early"],
        needs={kind: tuple(words) for kind, words in plain["needs"]["needs"].items()},
        works=tuple(one.assembly for one in starting_works(folder)),
    )


_FILES = ("early", "needs")
