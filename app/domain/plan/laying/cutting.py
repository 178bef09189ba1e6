"""Which units of a pattern lie whole within a shape, which are cut, and what the cut pieces measure.

Everything happens in the pattern's own frame, where units are upright rectangles: only those that the shape's edge
touches are clipped, all others are decided by their middle.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from app.domain.plan.laying.modules import Floats, Lattice

Ints = NDArray[np.int64]
Geometries = NDArray[np.object_]
CRUMB = 1 / 16 / 12  # ft: what is thinner than 1/16 in is taken up by the joints (ICPI tolerances: joints 1/16 to 3/16)
ON_SIDE = 1e-7  # ft
CORNER = 0.94  # cosine of 20°: a saw that turns by more begins another cut


@dataclass(frozen=True, slots=True)
class Units:
    """Units of a pattern in its frame: lower left corners and extents [ft], and which size each is."""

    corners: Floats
    bodies: Floats
    sizes: Ints

    def of(self, chosen: NDArray[np.bool_] | Ints) -> "Units":
        """Some of the units."""
        return Units(self.corners[chosen], self.bodies[chosen], self.sizes[chosen])

    def boxes(self) -> Geometries:
        """The units as rectangles."""
        ends = self.corners + self.bodies
        found: Geometries = shapely.box(self.corners[:, 0], self.corners[:, 1], ends[:, 0], ends[:, 1])
        return found


@dataclass(frozen=True, slots=True)
class Pieces:
    """Cut pieces, each with the unit it is cut from (`owners` counts cut units) and that unit's size.

    `shares` of the unit's face; `longs` and `shorts` [ft] are the piece's bounding rectangle along and across the
    unit; `cuts` and `cut_lengths` [ft] are what the saw does to get it. `outlines` are in the frame of the pattern.
    """

    owners: Ints
    sizes: Ints
    shares: Floats
    longs: Floats
    shorts: Floats
    cuts: Ints
    cut_lengths: Floats
    outlines: Geometries

    @property
    def units(self) -> int:
        """Units that are cut."""
        return len(np.unique(self.owners))


def joined(several: list[Pieces]) -> Pieces:
    """Pieces of several places as one; their units stay apart."""
    if not several:
        return _no_pieces()
    owners, first = [], 0
    for one in several:
        owners.append(one.owners + first)
        first += int(one.owners.max()) + 1 if len(one.owners) else 0
    rest = ("sizes", "shares", "longs", "shorts", "cuts", "cut_lengths", "outlines")
    return Pieces(np.concatenate(owners), *(np.concatenate([getattr(one, name) for one in several]) for name in rest))


def _no_pieces() -> Pieces:
    numbers, counts = np.empty(0), np.empty(0, dtype=np.int64)
    return Pieces(counts, counts, numbers, numbers, numbers, counts, numbers, np.empty(0, dtype=object))


def placed(pattern: Lattice, origin: tuple[float, float], bounds: tuple[float, float, float, float]) -> Units:
    """All units of a pattern, one joint corner at `origin`, that reach into the bounds (west, south, east, north)."""
    west, south, east, north = bounds
    steps = np.column_stack([pattern.step, pattern.rise])
    reach = np.abs(pattern.corners).max() + np.abs(pattern.bodies).max()
    box = np.array([[west - reach, east + reach] * 2, [south - reach] * 2 + [north + reach] * 2])
    box -= np.array(origin)[:, None]
    numbers = np.linalg.solve(steps, box)
    least, most = np.floor(numbers.min(axis=1)).astype(int), np.ceil(numbers.max(axis=1)).astype(int)
    first, second = np.meshgrid(np.arange(least[0], most[0] + 1), np.arange(least[1], most[1] + 1))
    moves = np.column_stack([first.ravel(), second.ravel()]) @ steps.T + origin
    kept = _reaching(moves, -reach, reach, bounds)
    moves = moves[kept]
    count = len(pattern.sizes)
    corners = (moves[:, None, :] + pattern.corners[None, :, :]).reshape(-1, 2)
    bodies = np.tile(pattern.bodies, (len(moves), 1))
    units = Units(corners, bodies, np.tile(pattern.sizes, len(moves)) if count else pattern.sizes)
    return units.of(_reaching(corners, 0.0, bodies, bounds))


def _reaching(
    corners: Floats, low: float, high: float | Floats, bounds: tuple[float, float, float, float]
) -> NDArray[np.bool_]:
    starts, ends = corners + low, corners + high
    found: NDArray[np.bool_] = (
        (ends[:, 0] > bounds[0]) & (starts[:, 0] < bounds[2]) & (ends[:, 1] > bounds[1]) & (starts[:, 1] < bounds[3])
    )
    return found


def cut(units: Units, shape: BaseGeometry) -> tuple[Units, Pieces]:
    """Units that lie whole within a shape, and the pieces of those that its edge cuts."""
    if not len(units.corners) or shape.is_empty:
        return units.of(np.zeros(len(units.corners), dtype=bool)), _no_pieces()
    boxes = units.boxes()
    touched = _touched(boxes, shape, float(units.bodies.min()))
    shapely.prepare(shape)
    centers = units.corners + units.bodies / 2
    whole = shapely.contains_xy(shape, centers[:, 0], centers[:, 1])
    whole[touched] = False
    clipped = shapely.intersection(shape, boxes[touched])
    among = units.of(touched)
    pieces, full = measured(clipped, among)
    whole[touched[full]] = True
    return units.of(whole), pieces


def _touched(boxes: Geometries, shape: BaseGeometry, stretch: float) -> Ints:
    """Which boxes lie at the shape's edge: the edge in short stretches, each with its own bounds."""
    rings = shapely.get_parts(shapely.segmentize(shape.boundary, stretch))
    ends, ring = shapely.get_coordinates(rings, return_index=True)
    pairs = np.stack([ends[:-1], ends[1:]], axis=1)[ring[1:] == ring[:-1]]
    stretches = shapely.STRtree(shapely.linestrings(pairs))
    return np.unique(stretches.query(boxes)[0])


def measured(clipped: Geometries, units: Units) -> tuple[Pieces, Ints]:
    """The pieces that clipping left of each unit, measured, and which units it left whole (or as good as whole)."""
    parts, owners = shapely.get_parts(clipped, return_index=True)
    solid = shapely.get_dimensions(parts) == 2
    parts, owners = parts[solid], owners[solid]
    areas = shapely.area(parts)
    faces = units.bodies[:, 0] * units.bodies[:, 1]
    left = np.bincount(owners, weights=areas, minlength=len(units.corners))
    missing = units.bodies - _extents(clipped)
    full = (missing < CRUMB).all(axis=1) & (faces - left < CRUMB * units.bodies.max(axis=1))
    extents = _extents(parts)
    kept = ~full[owners] & (areas > CRUMB * extents.max(axis=1, initial=0.0))
    parts, owners, areas, extents = parts[kept], owners[kept], areas[kept], extents[kept]
    upright = units.bodies[owners, 1] > units.bodies[owners, 0]
    longs = np.where(upright, extents[:, 1], extents[:, 0])
    shorts = np.where(upright, extents[:, 0], extents[:, 1])
    cuts, lengths = _sawn(parts, units.corners[owners], units.corners[owners] + units.bodies[owners])
    numbered = np.unique(owners, return_inverse=True)[1].astype(np.int64)
    shares = areas / faces[owners]
    pieces = Pieces(numbered, units.sizes[owners], shares, longs, shorts, cuts, lengths, parts)
    return pieces, np.flatnonzero(full)


def _extents(shapes: Geometries) -> Floats:
    """Width and height of each shape [ft]; 0 where there is none."""
    box = np.asarray(shapely.bounds(shapes), dtype=np.float64).reshape(-1, 4)
    return np.nan_to_num(box[:, 2:] - box[:, :2])


def _sawn(parts: Geometries, lows: Floats, highs: Floats) -> tuple[Ints, Floats]:
    """How many cuts make each piece, and how long they are [ft]: its edges that are not the unit's own."""
    count = len(parts)
    if not count:
        return np.empty(0, dtype=np.int64), np.empty(0)
    rings, of_part = shapely.get_rings(parts, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    starts, ends, ring = points[:-1][same], points[1:][same], ring[1:][same]
    part = of_part[ring]
    own = np.zeros(len(starts), dtype=bool)
    for axis in (0, 1):
        for sides in (lows, highs):
            at = sides[part, axis]
            own |= (np.abs(starts[:, axis] - at) < ON_SIDE) & (np.abs(ends[:, axis] - at) < ON_SIDE)
    ways = ends - starts
    lengths = np.hypot(ways[:, 0], ways[:, 1])
    sawn = ~own & (lengths > ON_SIDE)
    before = _before(ring)
    dots = (ways * ways[before]).sum(axis=1) / np.maximum(lengths * lengths[before], ON_SIDE**2)
    begins = sawn & (own[before] | (dots < CORNER))
    cuts: Ints = np.bincount(part, weights=begins, minlength=count).astype(np.int64)
    run = np.bincount(part, weights=np.where(sawn, lengths, 0.0), minlength=count).astype(np.float64)
    least: Ints = (run > 0).astype(np.int64)
    return np.maximum(cuts, least), run


def _before(ring: Ints) -> Ints:
    """For each edge the one before it on its ring."""
    before = np.arange(len(ring)) - 1
    firsts = np.flatnonzero(np.r_[True, ring[1:] != ring[:-1]])
    lasts = np.r_[firsts[1:], len(ring)] - 1
    before[firsts] = lasts
    return before
