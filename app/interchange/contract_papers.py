"""What the library has for a signature: the words of the notice of cancellation, and what states ask of the writing."""

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from app.domain.codec import from_plain
from app.domain.contract.notice import Wording
from app.domain.contract.regions import Asked
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def cancellation_wording(folder: Path = SHIPPED) -> Wording:
    """The words of the notice."""
    return from_plain(_told(folder)["cancellation"], Wording)


@lru_cache(maxsize=4)
def asked_by_states(folder: Path = SHIPPED) -> tuple[Asked, ...]:
    """What states ask of the writing, in the order of the file."""
    return tuple(from_plain(row, Asked) for row in _told(folder)["asks"])


def _told(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / "contract.toml").read_text(encoding="utf-8"))
