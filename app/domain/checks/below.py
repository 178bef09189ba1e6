"""How deep it goes within reach of an open edge: the ground there and surfaces further down, not only at the edge."""

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import partial
from uuid import UUID

import shapely

from app.domain.checks.walking import Shape, shape_of
from app.domain.checks.yard import Yard
from app.domain.job import Alternative
from app.domain.keeping import BoundedByIdentity, KeptByInputs, Same
from app.domain.plan.arcs import Point
from app.domain.plan.edges import GROUND, LOT, WALL
from app.domain.plan.levels import finish_level
from app.domain.plan.surface import Surface
from app.domain.takeoff.ground import ground_of
from app.domain.takeoff.meeting import Meeting

OPEN = frozenset({GROUND, LOT, WALL})  # what may lie across an edge that nobody else's surface continues


_BELOW: KeptByInputs[float] = KeptByInputs(512)
_SPANS: BoundedByIdentity[Alternative, tuple[float, float]] = BoundedByIdentity(2048)
Path = tuple[Point, ...]


def deep_edges(yard: Yard, zones: AbstractSet[str], reach: float, more_than: float) -> Iterator[tuple[UUID, float]]:
    """How deep it goes [ft] within `reach` [ft] of open edges of zones (ids as text), where that is `more_than`.

    Ground counts between the spot levels; of other zones those that do not meet this one there. Source: geometry.
    """
    ground, spans = ground_of(yard.job), {key: _span(way) for key, way in yard.chosen.items()}
    spots = [level for triangle in ground.triangles for _, _, level in triangle.corners]
    lowest = min((*spots, *(span[0] for span in spans.values() if span)), default=float("inf"))
    high = {key for key, span in spans.items() if span and str(key) in zones and span[1] - lowest > more_than}
    around: dict[UUID, list[Meeting]] = {}
    for met in yard.meetings if high else ():
        around.setdefault(met.zone_id, []).append(met)
    for zone_id in (key for key in yard.chosen if key in high):
        way, own = yard.chosen[zone_id], around.get(zone_id, [])
        beside = {zone_id, *(one for one in yard.chosen if any(met.neighbor == str(one) for met in own))}
        others = tuple(one for key, one in yard.chosen.items() if key not in beside and spans[key])
        paths = tuple(tuple(met.stretch.path) for met in own if met.neighbor in OPEN)
        rests_on = (way, paths, Same(ground), others, reach)
        found = _BELOW.get_or_make(zone_id, rests_on, partial(_deepest, way, paths, ground, others, reach))
        if found > more_than:
            yield zone_id, found


def _span(way: Alternative) -> tuple[float, float] | None:
    """The lowest and the highest finish level of a surface [ft]; None where it is not told."""
    if way.outline is None or way.level is None:
        return None
    if not way.fall or way.fall_bearing is None:
        return way.level, way.level
    found = _SPANS.get(way)
    if found is None:
        corners = shapely.get_coordinates(shape_of(way.outline))
        levels = [finish_level(way, (float(x), float(y))) for x, y in corners]
        known = [one for one in levels if one is not None]
        found = (min(known), max(known)) if known else (way.level, way.level)
        _SPANS.keep(way, found)
    return found


@dataclass(frozen=True, slots=True)
class _Plane:
    """A flat piece of what lies below: its ground, and its level [ft] at three of its points."""

    shape: Shape
    of: Alternative | None
    a: float = 0.0
    b: float = 0.0
    c: float = 0.0

    def level(self, point: Point) -> float | None:
        return finish_level(self.of, point) if self.of else self.a + self.b * point[0] + self.c * point[1]


def _places(ground: Surface, others: Sequence[Alternative], strip: Shape) -> Iterator[_Plane]:
    """Other surfaces near a strip, and the ground beside them, as flat pieces."""
    drawn = [(one, shape_of(one.outline)) for one in others if one.outline is not None]
    finished = [(one, shape) for one, shape in drawn if shape.intersects(strip)]
    covered = shapely.union_all([shape for _, shape in finished])
    for one, shape in finished:
        if one.level is not None:
            yield _Plane(shape, one)
    for each in ground.triangles:
        shape = shapely.polygons([(x, y) for x, y, _ in each.corners]).difference(covered)
        if not shape.is_empty:
            yield _Plane(shape, None, each.a, each.b, each.c)


def _deepest(
    way: Alternative, paths: Sequence[Path], ground: Surface, others: Sequence[Alternative], reach: float
) -> float:
    """Surfaces are flat in pieces, so the deepest place is a corner of one of the pieces within reach."""
    own, best = shape_of(way.outline) if way.outline else None, 0.0
    for path in paths if own is not None else ():
        line = shapely.linestrings(path)
        strip = line.buffer(reach).difference(own)
        for place in _places(ground, others, strip):
            for x, y in shapely.get_coordinates(place.shape.intersection(strip)):
                spot = shapely.points((x, y))
                edge = line.interpolate(line.project(spot))
                here, there = finish_level(way, (edge.x, edge.y)), place.level((float(x), float(y)))
                if here is not None and there is not None:
                    best = max(best, here - there)
    return best
