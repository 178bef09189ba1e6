"""What follows building, as the library has it: the tests before hand-over, and the care of what was built."""

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from app.domain.codec import from_plain
from app.domain.handover.care import CareLists
from app.domain.handover.needed_tests import KindOfTest
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def kinds_of_test(folder: Path = SHIPPED) -> Mapping[str, KindOfTest]:
    """The kinds of tests, in their order."""
    told = _read(folder, "hand_over_tests.toml")["test"]
    return {key: from_plain({"key": key, **one}, KindOfTest) for key, one in told.items()}


def _read(folder: Path, name: str) -> dict[str, Any]:
    return tomllib.loads((folder / name).read_text(encoding="utf-8"))


@lru_cache(maxsize=4)
def care_lists(folder: Path = SHIPPED) -> CareLists:
    """Care, its cautions, and the days of visits."""
    told = _read(folder, "care.toml")
    plain = {"when": told["when"], "rows": told["row"], "cautions": told["caution"], "visits": told["visits"]}
    return from_plain(plain, CareLists)
