"""Where the sun stands, and the shadows it casts on level ground.

By sun time: at 12 the sun stands highest. What falls on walls, tables and counters is told by `cast`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import acos, asin, cos, degrees, pi, radians, sin, tan
from typing import Any

import shapely
from shapely.geometry import Polygon

from app.domain.plan.arcs import Point
from app.domain.seen.solids import NEAR, Solid

_NOTHING: Any = Polygon()  # type: ignore[no-untyped-call]
LEAST_ALTITUDE = 3.0  # degrees: below it shadows have no end


@dataclass(frozen=True, slots=True)
class Sun:
    """Where the sun stands [degrees]: clockwise from north, and above the ground."""

    azimuth: float
    altitude: float

    @property
    def is_up(self) -> bool:
        """Whether it stands high enough to cast shadows that end."""
        return self.altitude >= LEAST_ALTITUDE


def sun_at(latitude: float, day: date, hour: float) -> Sun:
    """Where the sun stands at a latitude [degrees north] on a day, at an hour of sun time.

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, equations 1.6.1 (Cooper 1969), 1.6.5, 1.6.6.
    >>> noon = sun_at(40.0, date(2027, 6, 21), 12.0)
    >>> round(noon.altitude, 1), round(noon.azimuth)
    (73.4, 180)
    """
    declination = radians(23.45 * sin(2 * pi * (284 + day.timetuple().tm_yday) / 365))
    angle, here = radians(15 * (hour - 12)), radians(latitude)
    height = sin(here) * sin(declination) + cos(here) * cos(declination) * cos(angle)
    altitude = asin(min(max(height, -1.0), 1.0))
    level = cos(altitude) * cos(here)
    turn = (sin(altitude) * sin(here) - sin(declination)) / level if abs(level) > NEAR else 1.0
    from_south = degrees(acos(min(max(turn, -1.0), 1.0)))
    return Sun((180 + from_south if angle > 0 else 180 - from_south) % 360, degrees(altitude))


def toward(sun: Sun, north: float) -> Point:
    """The way toward the sun on the plan, of length 1; `north` is clockwise from its top [degrees]."""
    angle = radians(north + sun.azimuth)
    return sin(angle), cos(angle)


def shadows_at(level: float, solids: Sequence[Solid], sun: Sun, north: float) -> Any:
    """The ground at a level [ft] that lies in the shadow of all that stands higher, as one shape; empty at night.

    >>> post = Solid("post", ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)), 0.0, 10.0, "#000000")
    >>> round(shadows_at(0.0, [post], Sun(180.0, 45.0), 0.0).area, 6)
    11.0
    """
    if not sun.is_up:
        return _NOTHING
    x, y = toward(sun, north)
    long = 1 / tan(radians(sun.altitude))
    corners, owners = [], []
    for place, one in enumerate(one for one in solids if one.casts and one.top > level + NEAR):
        for rise in (max(one.bottom - level, 0.0), max(one.top - level, 0.0)):
            corners += [(px - x * long * rise, py - y * long * rise) for px, py in one.base]
        owners += [place] * (2 * len(one.base))
    if not corners:
        return _NOTHING
    # what a body of convex base shades is all between where its lowest and its highest part throw their shadow
    return shapely.union_all(shapely.convex_hull(shapely.multipoints(corners, indices=owners)))  # type: ignore[no-untyped-call]
