"""The words that two screens show to be compared, as the library has them."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def words_to_compare(folder: Path = SHIPPED) -> tuple[str, ...]:
    """The words, in their order."""
    told = tomllib.loads((folder / "words_to_compare.toml").read_text(encoding="utf-8"))
    return tuple(told["words"])
