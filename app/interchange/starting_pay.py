"""The year of pay that a class's worksheet begins from, as the library has it."""

import tomllib
from functools import lru_cache
from pathlib import Path

from app.domain.codec import from_plain
from app.domain.pay import PayYear
from app.interchange.library_file import SHIPPED


@lru_cache(maxsize=4)
def starting_pay(folder: Path = SHIPPED) -> PayYear:
    """The usual items on top of pay with base and cap, and the usual hours that nobody is billed for."""
    told = tomllib.loads((folder / "pay_year.toml").read_text(encoding="utf-8"))
    return from_plain(told["year"], PayYear)
