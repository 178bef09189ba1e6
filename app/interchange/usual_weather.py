"""The working days that weather takes in a month, as the library has them."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from app.interchange.library_file import SHIPPED


@dataclass(frozen=True, slots=True)
class UsualWeather:
    """Days lost by the number of the month, and where that comes from."""

    lost: Mapping[int, float]
    source: str


@lru_cache(maxsize=4)
def usual_weather(folder: Path = SHIPPED) -> UsualWeather:
    """What holds until the firm types its own."""
    told = tomllib.loads((folder / "weather_days.toml").read_text(encoding="utf-8"))
    return UsualWeather({int(month): float(days) for month, days in told["lost"].items()}, str(told["source"]))
