"""The worker's task that works out hours of sun over a lot: what stands there in, quarter hours a place out."""

from typing import Any

import numpy as np
import shapely

from app.domain.codec import from_plain, to_plain
from app.domain.takeoff.sunlight import YEAR, Scene
from app.domain.trades.sun import Blocker, Grid, Spot, hours_over, typical_lights

MONTHS = tuple(range(1, 13))
PARTS = 4  # of an hour


def sun_payload(scene: Scene, more: tuple[Blocker, ...], grid: Grid) -> dict[str, Any]:
    """What the task is given, as plain values."""
    blockers = [
        {"shape": one.shape.wkb_hex, "high": one.high, "low": one.low, "leafy": one.leafy}
        for one in (*scene.blockers, *more)
    ]
    return {"spot": to_plain(scene.spot), "north": scene.north, "blockers": blockers, "grid": to_plain(grid)}


def sun_task(payload: Any, tell: Any) -> bytes:
    """Quarter hours of sun at every place of the grid, month by month."""
    tell(0.0, "Following the sun")
    spot, grid = from_plain(payload["spot"], Spot), from_plain(payload["grid"], Grid)
    blockers = [
        Blocker(shapely.from_wkb(one["shape"]), one["high"], one["low"], one["leafy"]) for one in payload["blockers"]
    ]
    lights = typical_lights(spot, YEAR, MONTHS)
    found = hours_over(grid, blockers, lights, north=payload["north"], south=spot.latitude < 0)
    dark = np.zeros((grid.deep, grid.wide))
    return bytes(np.stack([np.rint(found.get(month, dark) * PARTS) for month in MONTHS]).astype(np.uint8).tobytes())


def hours_in(content: bytes, grid: Grid) -> Any:
    """What the task found [hours]: month, row from the south, place from the west."""
    return np.frombuffer(content, dtype=np.uint8).reshape(len(MONTHS), grid.deep, grid.wide) / PARTS


__all__ = ["hours_in", "sun_payload", "sun_task"]
