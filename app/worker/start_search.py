"""The worker's task that looks for a better start line: an outline and its pattern in, the start found out."""

from typing import Any

import msgspec

from app.domain.codec import from_plain, to_plain
from app.domain.plan.laying import Laying, Unit
from app.domain.plan.laying.searching import Found, search_start
from app.domain.plan.outline import Outline

Point = tuple[float, float]


def search_payload(
    outline: Outline, laying: Laying, units: tuple[Unit, ...], doors: tuple[Point, ...]
) -> dict[str, Any]:
    """What the task is given, as plain values; `units` are those of the field and of the borders."""
    return {
        "wkt": outline.wkt,
        "laying": to_plain(laying),
        "units": [to_plain(unit) for unit in units],
        "doors": [list(door) for door in doors],
    }


def start_task(payload: Any, tell: Any) -> bytes:
    """Look for a start line."""
    tell(0.0, "Trying start lines")
    units = tuple(from_plain(unit, Unit) for unit in payload["units"])
    doors = tuple((float(x), float(y)) for x, y in payload["doors"])
    found = search_start(Outline(payload["wkt"]), from_plain(payload["laying"], Laying), units[0], units[1:], doors)
    return msgspec.json.encode(found)


def found_of(content: bytes) -> Found:
    """What the task found."""
    return msgspec.json.decode(content, type=Found)
