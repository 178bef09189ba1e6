"""What the daily log offers to tap, as the library has it."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.domain.joblog.happenings import LogLists
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def log_lists(folder: Path = SHIPPED) -> LogLists:
    """Weather and causes of delay, in their order."""
    told = tomllib.loads((folder / "daily_log.toml").read_text(encoding="utf-8"))
    return from_plain({"skies": told["sky"], "causes": told["cause"]}, LogLists)
