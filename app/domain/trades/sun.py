"""The sun over a yard: its path for a place and day, shadows of what stands there, hours of sun.

Positions come from the library astral, which follows the NOAA solar equations: altitudes to about 0.1°, rise and set to
about a minute where the horizon is level. The ground is taken as level, the horizon as open. Bearings are degrees
clockwise from true north; places are ft of the plan, whose top lies `north` degrees away from it.
Validity: latitudes to 65°, years 1950 to 2050; elsewhere there is an error, never a guess.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from math import ceil, cos, floor, radians, sin, tan
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
import shapely
from astral import Observer
from astral.sun import elevation, sun, zenith_and_azimuth
from shapely.geometry.base import BaseGeometry

from app.domain.errors import BadValue
from app.domain.plan.arcs import Point

FURTHEST = 65.0  # degrees of latitude
YEARS = (1950, 2050)
LOW = 3.0  # degrees: a lower sun is taken as no sun, behind what stands around every yard. Assumption
TYPICAL_DAY = 21  # of each month: solstices and equinoxes lie on it or beside it. Common practice
STEP = timedelta(minutes=30)  # hours of sun are good to half of it
BARE = frozenset({11, 12, 1, 2, 3})  # months in which a deciduous crown has no leaves, north of the equator. Assumption
THIN = 0.5  # share of the sun that a bare crown lets through. Assumption
_FLAT = 1e-9


@dataclass(frozen=True, slots=True)
class Spot:
    """Where on the earth a yard lies [degrees, north and east positive] and its time zone."""

    latitude: float
    longitude: float
    zone: str

    def __post_init__(self) -> None:
        if not -FURTHEST <= self.latitude <= FURTHEST:
            raise BadValue(f"A latitude of {self.latitude:g}° is outside of ±{FURTHEST:g}°, where this holds.")
        if not -180 <= self.longitude <= 180:
            raise BadValue(f"A longitude of {self.longitude:g}° is outside of ±180°.")
        try:
            ZoneInfo(self.zone)
        except (ZoneInfoNotFoundError, ValueError):
            raise BadValue(f"“{self.zone}” is no time zone. Write it as America/New_York.") from None

    @property
    def observer(self) -> Observer:
        """The place as the library knows it."""
        return Observer(self.latitude, self.longitude, 0)


@dataclass(frozen=True, slots=True)
class Sun:
    """The sun at a moment: altitude above the level horizon and bearing from true north [degrees]."""

    altitude: float
    bearing: float


@dataclass(frozen=True, slots=True)
class Day:
    """A day's sunrise, noon (highest sun) and sunset in the time of the place; `highest` [degrees]."""

    rise: datetime
    noon: datetime
    set: datetime
    highest: float

    @property
    def hours(self) -> float:
        """From rise to set."""
        return (self.set - self.rise).total_seconds() / 3600


@dataclass(frozen=True, slots=True)
class Blocker:
    """What throws a shadow: its outline [ft] from `low` to `high` [ft above the ground]; `leafy` drops its leaves."""

    shape: BaseGeometry
    high: float
    low: float = 0.0
    leafy: bool = False


@dataclass(frozen=True, slots=True)
class Light:
    """A moment of a typical day: the sun, its month, minutes after midnight by the clock of the place."""

    month: int
    sun: Sun
    minutes: int = 0


def sun_at(spot: Spot, moment: datetime) -> Sun:
    """The sun at a moment with its time zone. Raises: BadValue for years out of 1950 to 2050.

    Refraction is in it. Source: NOAA solar equations, by the library astral.

    >>> one = sun_at(Spot(39.9526, -75.1652, "America/New_York"), datetime(2025, 6, 21, 19, 0, tzinfo=UTC))
    >>> round(one.altitude, 1), round(one.bearing)
    (60.3, 245)
    """
    _known_year(moment.year)
    zenith, bearing = zenith_and_azimuth(spot.observer, moment)
    return Sun(90.0 - float(zenith), float(bearing))


def day_of(spot: Spot, day: date) -> Day:
    """Sunrise, noon and sunset of a day. Raises: BadValue for years out of 1950 to 2050."""
    _known_year(day.year)
    found = sun(spot.observer, day, tzinfo=ZoneInfo(spot.zone))
    return Day(found["sunrise"], found["noon"], found["sunset"], float(elevation(spot.observer, found["noon"])))


def shadow_length(height: float, altitude: float) -> float:
    """How far a shadow reaches on level ground [same unit as the height]. Raises: BadValue without a sun.

    Source: geometry.

    >>> round(shadow_length(6.0, 50.0), 2)
    5.03
    """
    if not 0 < altitude <= 90:
        raise BadValue(f"At {altitude:g}° the sun throws no shadow on level ground: that wants up to 90°.")
    return height / tan(radians(altitude)) if altitude < 90 else 0.0


def toward(bearing: float, north: float = 0.0) -> Point:
    """The way on the plan, one ft long, that leads toward a bearing; `north` is how far true north is turned on it."""
    turned = radians(bearing + north)
    return sin(turned), cos(turned)


def shadow(blocker: Blocker, light: Sun, north: float = 0.0) -> BaseGeometry:
    """The ground that a blocker keeps from the sun: its outline swept away from it. Source: geometry.

    What is not convex is parted into triangles: the shadow of each is the hull of its near and far place.
    """
    found: BaseGeometry = shapely.union_all(_hulls(blocker, [light], north)[0])
    return found


def _hulls(blocker: Blocker, lights: Sequence[Sun], north: float) -> Any:
    """The shadows of the convex pieces of a blocker, one row for each sun."""
    ways = np.array([toward(one.bearing + 180, north) for one in lights])
    ways = ways / np.tan(np.radians([one.altitude for one in lights]))[:, None]
    rows = []
    for piece in _pieces(blocker.shape.wkb):
        points = shapely.get_coordinates(piece)
        near, far = (points + (ways * reach)[:, None, :] for reach in (blocker.low, blocker.high))
        rows.append(shapely.convex_hull(shapely.multipoints(np.concatenate((near, far), axis=1))))
    return np.stack(rows, axis=1)


@lru_cache(maxsize=1024)
def _pieces(wkb: bytes) -> tuple[BaseGeometry, ...]:
    """A shape as convex pieces: itself, its triangles, or the straight parts of a line."""
    shape = shapely.from_wkb(wkb)
    if shape.geom_type == "LineString":
        points = shapely.get_coordinates(shape)
        return tuple(shapely.linestrings(np.stack((points[:-1], points[1:]), axis=1)))
    if shape.convex_hull.area - shape.area < _FLAT:
        return (shape,)
    return tuple(shapely.get_parts(shapely.constrained_delaunay_triangles(shape)))


def typical_lights(spot: Spot, year: int, months: Sequence[int] = tuple(range(1, 13))) -> tuple[Light, ...]:
    """The sun every half hour of the 21st of each month, while it stands 3° high or more."""
    return tuple(light for month in months for light in _lights(spot, year, month))


@lru_cache(maxsize=512)
def _lights(spot: Spot, year: int, month: int) -> tuple[Light, ...]:
    midnight = datetime.combine(date(year, month, TYPICAL_DAY), time(), ZoneInfo(spot.zone)).astimezone(UTC)
    found = ((sun_at(spot, midnight + STEP * (count + 0.5)), 30 * count + 15) for count in range(48))
    return tuple(Light(month, one, minutes) for one, minutes in found if one.altitude >= LOW)


def hours_at(
    points: Any, blockers: Sequence[Blocker], lights: Sequence[Light], *, north: float = 0.0, south: bool = False
) -> Mapping[int, Any]:
    """Hours of sun of the typical day of each month at points [ft, n × 2].

    A point is in shade where the way from it to the sun passes through a blocker between its low and high. For few
    points; a whole lot goes by `hours_over`. `south` of the equator leaves fall half a year later. Good to a quarter
    hour.
    """
    at = np.asarray(points, dtype=float).reshape(-1, 2)
    lit = np.ones((len(lights), len(at)))
    ways = np.array([toward(one.sun.bearing, north) for one in lights]).reshape(-1, 1, 2)
    ways = ways / np.tan(np.radians([one.sun.altitude for one in lights])).reshape(-1, 1, 1)
    for blocker in blockers:
        shapely.prepare(blocker.shape)
        lines = shapely.linestrings(np.stack((at + ways * blocker.low, at + ways * blocker.high), axis=2))
        share = np.array([through(blocker, one.month, south=south) for one in lights])[:, None]
        lit = np.where(shapely.intersects(lines, blocker.shape), np.minimum(lit, share), lit)
    return _by_month(lights, lit)


def _by_month(lights: Sequence[Light], lit: Any) -> Mapping[int, Any]:
    months = np.array([one.month for one in lights])
    hours = STEP.total_seconds() / 3600
    return {month: lit[months == month].sum(axis=0) * hours for month in dict.fromkeys(months.tolist())}


def through(blocker: Blocker, month: int, *, south: bool = False) -> float:
    """The share of the sun that comes through a blocker in a month."""
    bare = (month + 5) % 12 + 1 in BARE if south else month in BARE
    return THIN if blocker.leafy and bare else 0.0


@dataclass(frozen=True, slots=True)
class Grid:
    """Places in rows: `west`, `south` [ft] of the first, `step` [ft] apart, `wide` × `deep` of them."""

    west: float
    south: float
    wide: int
    deep: int
    step: float = 1.0


def hours_over(
    grid: Grid, blockers: Sequence[Blocker], lights: Sequence[Light], *, north: float = 0.0, south: bool = False
) -> Mapping[int, Any]:
    """Hours of sun of each month at the places of a grid, by the shadows of each moment: for a whole lot.

    The same as `hours_at`, but that a place on the very rim of a shadow may fall to either side. One array
    [deep × wide] a month.
    """
    suns = [light.sun for light in lights]
    shadows = [(one, _hulls(one, suns, north)) for one in blockers]
    found: dict[int, Any] = {}
    for at, light in enumerate(lights):
        lit = np.ones((grid.deep, grid.wide))
        for blocker, hulls in shadows:
            share = through(blocker, light.month, south=south)
            for hull in hulls[at]:
                _shade(lit, grid, shapely.get_coordinates(hull), share)
        found[light.month] = found.get(light.month, 0.0) + lit * (STEP.total_seconds() / 3600)
    return found


def _shade(lit: Any, grid: Grid, ring: Any, share: float) -> None:
    """Lower the light within a convex ring, row by row."""
    (west, south), (east, north) = ring.min(axis=0), ring.max(axis=0)
    first, last = (max(0, ceil((edge - start) / grid.step)) for edge, start in ((south, grid.south), (west, grid.west)))
    rows = np.arange(first, min(grid.deep, floor((north - grid.south) / grid.step) + 1))
    columns = slice(last, max(last, min(grid.wide, floor((east - grid.west) / grid.step) + 1)))
    if not len(rows) or columns.start == columns.stop:
        return
    y = (rows * grid.step + grid.south)[:, None]
    start, end = ring[:-1], ring[1:]
    rise = end[:, 1] - start[:, 1]
    level = np.abs(rise) < _FLAT
    along = (y - start[:, 1]) / np.where(level, 1.0, rise)
    crosses = ~level & (along >= -_FLAT) & (along <= 1 + _FLAT)
    at = start[:, 0] + along * (end[:, 0] - start[:, 0])
    left, right = np.where(crosses, at, np.inf).min(axis=1), np.where(crosses, at, -np.inf).max(axis=1)
    x = np.arange(columns.start, columns.stop) * grid.step + grid.west
    part = lit[rows[0] : rows[-1] + 1, columns]
    part[(x >= left[:, None]) & (x <= right[:, None]) & (part > share)] = share


def _known_year(year: int) -> None:
    if not YEARS[0] <= year <= YEARS[1]:
        raise BadValue(f"The sun of {year} is not worked out here; years {YEARS[0]} to {YEARS[1]} are.")


def glare(light: Sun, facing: float, *, low: float = 25.0, wide: float = 45.0) -> bool:
    """Whether somebody who looks toward a bearing has the sun in the eyes: it is low and near that way [degrees].

    `low` and `wide` are assumptions. Validity: a level look, nothing in between.

    >>> glare(Sun(12.0, 285.0), 270.0), glare(Sun(40.0, 285.0), 270.0), glare(Sun(12.0, 285.0), 180.0)
    (True, False, False)
    """
    apart = abs((light.bearing - facing + 180) % 360 - 180)
    return 0 < light.altitude <= low and apart <= wide
