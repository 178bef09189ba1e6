"""Plants placed in a bed, one by one: rows at their spacing in any outline with openings, so that they can be counted.

The bed lies along its longest edge, whichever way the plan is turned, so moving or turning it changes no count. Rows
that fill it take their shares of it one after the other along that edge. Half the spacing is kept from the outline and
between two kinds, and from each plant that stands by itself half of both spacings.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from app.domain.errors import BadValue
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline, chords, rings_of

LEAST, MOST = 2 / 12, 60.0  # ft: spacings that are planted
MOST_PLANTS = 20_000  # in one bed
ROW = sqrt(3) / 2  # between rows of a triangular grid, of its spacing. Source: geometry
_SURE = 1e-6  # ft: a place this near the outline of where plants may stand lies in it, however the bed is turned
_HALVINGS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A kind that fills its `share` of a bed at a spacing [ft]; `under` the others it fills all of it."""

    spacing: float
    triangular: bool = True
    share: float = 1.0
    under: bool = False


@dataclass(frozen=True, slots=True)
class Alone:
    """A plant that stands by itself, and the spacing [ft] of its kind."""

    at: Point
    spacing: float


class TooManyPlants(BadValue):
    """A spacing so small that a bed would hold more plants than can be drawn or bought."""


def placed(outline: Outline, fills: Sequence[Fill], alone: Sequence[Alone] = ()) -> tuple[tuple[Point, ...], ...]:
    """Where the plants of each fill stand [ft], in the order of the fills.

    A part of the bed narrower than the spacing takes one row along its middle. Source: geometry.
    Raises: BadValue for a spacing out of 2 in to 60 ft; TooManyPlants.

    >>> from app.domain.plan.shapes import rectangle
    >>> [len(one) for one in placed(rectangle(10, 10), [Fill(spacing=1.0, triangular=False)])]
    [100]
    """
    for fill in fills:
        if not LEAST - _SURE <= fill.spacing <= MOST:
            raise BadValue(f"A spacing of {fill.spacing * 12:.4g} in was given; plants stand 2 in to 60 ft apart.")
    frame = Frame(outline)
    bed = frame.polygon
    _bounded(bed.area, fills)
    beside = [fill for fill in fills if not fill.under]
    parts = iter(_shares(bed, [fill.share for fill in beside]))
    return tuple(_filled(frame, bed if fill.under else next(parts), fill, alone) for fill in fills)


def _bounded(area: float, fills: Sequence[Fill]) -> None:
    whole = sum(fill.share for fill in fills if not fill.under) or 1.0
    for fill in fills:
        part = area if fill.under else area * fill.share / whole
        if part / fill.spacing**2 > MOST_PLANTS:
            raise TooManyPlants(
                f"At {fill.spacing * 12:.4g} in apart this bed would take over {MOST_PLANTS:,} plants. "
                "Check the spacing and the outline."
            )


class Frame:
    """The bed with its longest edge along x, the start of that edge at the origin."""

    def __init__(self, outline: Outline) -> None:
        edge = max(
            enumerate(rings_of(outline)[0]), key=lambda one: (round(_apart(one[1].start, one[1].end), 6), -one[0])
        )[1]
        (self.x, self.y), (end_x, end_y) = edge.start, edge.end
        long = _apart(edge.start, edge.end) or 1.0
        self.cos, self.sin = (end_x - self.x) / long, (end_y - self.y) / long
        self.polygon: Polygon = shapely.transform(chords(outline).polygon, self._in)

    def _in(self, points: Any) -> Any:
        x, y = points[:, 0] - self.x, points[:, 1] - self.y
        return np.column_stack((x * self.cos + y * self.sin, y * self.cos - x * self.sin))

    def inside(self, alone: Sequence[Alone]) -> Any:
        """Places of plants that stand by themselves, as this frame sees them."""
        return self._in(np.array([one.at for one in alone], dtype=float).reshape(-1, 2))

    def outside(self, points: Any) -> tuple[Point, ...]:
        """Places of this frame where they lie in the yard."""
        x = points[:, 0] * self.cos - points[:, 1] * self.sin + self.x
        y = points[:, 0] * self.sin + points[:, 1] * self.cos + self.y
        return tuple(zip(x.tolist(), y.tolist(), strict=True))


def _apart(one: Point, other: Point) -> float:
    return float(np.hypot(other[0] - one[0], other[1] - one[1]))


def _shares(bed: Polygon, shares: Sequence[float]) -> Iterator[BaseGeometry]:
    """A bed cut across its longest edge into parts whose areas are as the shares."""
    whole, done, west = sum(shares) or 1.0, 0.0, bed.bounds[0]
    for place, share in enumerate(shares):
        done += share
        east = bed.bounds[2] if place == len(shares) - 1 else _cut(bed, bed.area * done / whole)
        yield _between(bed, west, east)
        west = east


def _cut(bed: Polygon, area: float) -> float:
    """How far east a bed is to be cut so that so much of it [sq ft] lies west of the cut."""
    low, high = bed.bounds[0], bed.bounds[2]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if _between(bed, bed.bounds[0], middle).area < area:
            low = middle
        else:
            high = middle
    return float((low + high) / 2)


def _between(bed: Polygon, west: float, east: float) -> BaseGeometry:
    part: BaseGeometry = bed.intersection(box(west, bed.bounds[1] - 1, east, bed.bounds[3] + 1))
    return part


def _filled(frame: Frame, part: BaseGeometry, fill: Fill, alone: Sequence[Alone]) -> tuple[Point, ...]:
    bodies = [one for one in shapely.get_parts(part) if one.geom_type == "Polygon" and one.area > _SURE]
    rows = [_body(body, fill) for body in sorted(bodies, key=lambda one: (round(one.bounds[0], 6), one.bounds[1]))]
    found = np.concatenate(rows) if rows else np.empty((0, 2))
    if alone and not fill.under and len(found):
        stands = frame.inside(alone)
        keep = np.array([(one.spacing + fill.spacing) / 2 for one in alone])
        far = np.hypot(*(found[:, None, :] - stands[None, :, :]).transpose(2, 0, 1)) >= keep - _SURE
        found = found[far.all(axis=1)]
    return frame.outside(found)


def _body(body: Polygon, fill: Fill) -> Any:
    """The places in one body of ground: a grid, or one row where it is narrower than the spacing."""
    room = body.buffer(-fill.spacing / 2 + _SURE, join_style="mitre")
    if room.is_empty:
        return _one_row(body, fill.spacing)
    return np.concatenate([_grid(one, fill) for one in shapely.get_parts(room)])


def _grid(room: Polygon, fill: Fill) -> Any:
    """A grid over the bounds of where plants may stand, what is left over shared to both sides."""
    west, south, east, north = room.bounds
    spacing, between = fill.spacing, fill.spacing * (ROW if fill.triangular else 1.0)
    over = (east - west) % spacing
    if spacing - over < 4 * _SURE:
        over = 0.0
    step = spacing / 2 if fill.triangular else 0.0
    start = west + (over - step if step and over >= step else over) / 2
    rows = int((north - south) / between + 2 * _SURE) + 1
    first = south + max(0.0, north - south - (rows - 1) * between) / 2
    each = int((east - start) / spacing + 2 * _SURE) + 1
    at = np.arange(each) * spacing + start
    y = np.repeat(np.arange(rows) * between + first, each)
    x = (at[None, :] + (np.arange(rows) % 2 * step)[:, None]).ravel()
    sure = room.buffer(_SURE, join_style="mitre")
    shapely.prepare(sure)
    inside = shapely.contains_xy(sure, x, y)
    return np.column_stack((x, y))[inside]


def _one_row(body: Polygon, spacing: float) -> Any:
    """One row along the middle of a body that is narrower than the spacing, half a spacing from its ends."""
    low, high = 0.0, spacing / 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if body.buffer(-middle, join_style="mitre").is_empty else (middle, high)
    thin = max(shapely.get_parts(body.buffer(-low * 0.98, join_style="mitre")), key=lambda one: float(one.length))
    ring = np.asarray(thin.exterior.coords)[:-1]
    from_middle = np.hypot(*(ring - np.asarray(thin.centroid.coords)[0]).T)
    start = int(np.argmax(np.round(from_middle, 6)))
    path = shapely.linestrings(np.concatenate((ring[start:], ring[: start + 1])))
    ends = max(0.0, spacing / 2 - low)
    room = path.length / 2 - 2 * ends
    count = int(room / spacing + _SURE) + 1 if room > 0 else 1
    first = ends + max(0.0, room - (count - 1) * spacing) / 2
    at = shapely.line_interpolate_point(path, np.arange(count) * spacing + first)
    return shapely.get_coordinates(at)
