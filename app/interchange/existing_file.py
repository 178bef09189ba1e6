"""Which recipe prices the fate of what stands in the yard: the library's table, by kind and fate."""

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

Fates = Mapping[str, Mapping[str, str]]  # kind → fate → recipe's key, empty where none prices it by itself


@lru_cache(maxsize=4)
def load_existing(library: Path) -> Fates:
    """Read `existing.toml` of a library; nothing where it has none."""
    path = library / "existing.toml"
    if not path.is_file():
        return {}
    found: Fates = tomllib.loads(path.read_text(encoding="utf-8")).get("existing", {})
    return found
