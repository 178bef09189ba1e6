"""The ground of the scene: the lot, zones at their levels, steps between them, the house, what stands and stays."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import hypot
from typing import Any

from shapely import contains_xy

from app.domain.basis import Basis
from app.domain.job import OVERHEAD, SPRINKLERS, VALVE, Alternative, Existing, Fate, Job, Zone
from app.domain.palette.color import is_color
from app.domain.palette.surfaces import surface_of
from app.domain.plan.arcs import Point
from app.domain.plan.measures import bounds
from app.domain.plan.nearby import Box
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import chords
from app.domain.seen.bodies import along, crown, ring_around
from app.domain.seen.convex import CHORD, Part, convex_parts, parts_of, polygon_of
from app.domain.seen.solids import Solid
from app.domain.takeoff.meeting import Meeting, meetings

WALLS, ROOF, OPEN, STAYS, LEAVES = "#e6e0d2", "#cfc7b5", "#eef0e2", "#d8d3c4", "#8fa072"
SPREADS: Mapping[str, float] = {"tree": 16.0, "shrub": 4.0, "stump": 2.0}  # ft, where not measured. Common practice
THICK: Mapping[str, float] = {"wall": 1.0, "fence": 0.25}  # ft, of what is there. Assumption
NO_COLOR = "#d9d2bf"


@dataclass(frozen=True, slots=True)
class Levels:
    """How high each zone's surface lies [ft], by id as text; `base` is the lowest, on which open ground is drawn."""

    by_zone: Mapping[str, float]
    base: float
    shapes: tuple[tuple[str, Any, Box], ...]  # the zones' outlines with their boxes, in the order they are drawn

    def at(self, point: Point) -> float:
        """The level of the surface at a point; beside all of them that of open ground."""
        x, y = point
        near = [
            (zone, shape)
            for zone, shape, (west, south, east, north) in self.shapes
            if west <= x <= east and south <= y <= north
        ]
        found = [zone for zone, shape in near if contains_xy(shape, x, y)]  # type: ignore[no-untyped-call]
        return self.by_zone[found[-1]] if found else self.base


def levels_of(job: Job) -> Levels:
    """The levels as typed; a zone without one lies on open ground."""
    drawn = list(drawn_ways(job))
    known = [way.level for _, way in drawn if way.level is not None]
    base = min([0.0, *known])
    by_zone = {str(zone.id): way.level if way.level is not None else max(base, 0.0) for zone, way in drawn}
    shapes = tuple(
        (str(zone.id), chords(way.outline, CHORD).polygon, bounds(way.outline)) for zone, way in drawn if way.outline
    )
    return Levels(by_zone, base, shapes)


def drawn_ways(job: Job) -> Iterator[tuple[Zone, Alternative]]:
    """The zones that have an outline, with the way that is chosen."""
    for zone in job.zones:
        way = job.chosen(zone)
        if way is not None and way.outline is not None:
            yield zone, way


def lot_of(job: Job, levels: Levels) -> tuple[Solid, ...]:
    """Open ground: the lot, flat at the lowest level; nothing where no lot is drawn."""
    parts = convex_parts(job.site.lot) if job.site.lot else ()
    return tuple(_flat("lot", part, levels.base, OPEN) for part in parts)


def _flat(key: str, part: Part, level: float, color: str, hatch: str = "") -> Solid:
    return Solid(key, part.points, level, level, color, hatch=hatch, drawn=part.drawn, ground=True, casts=False)


def zones_of(
    job: Job, basis: Basis, levels: Levels, beds: Mapping[str, float], blooms: Mapping[str, str]
) -> Iterator[Solid]:
    """Every zone as a slab from open ground to its level, in color and hatch; `beds` are as high as their leaves.

    `blooms` are the colors of beds in bloom from above, by zone.
    """
    climbs = _climbs(job, levels)
    for zone, way in drawn_ways(job):
        key, surface = str(zone.id), surface_of(job, basis, zone)
        color = surface.color or NO_COLOR
        climb = climbs.get(key)
        if climb is not None:
            yield from climb.steps(f"zone:{key}", chords(way.outline, CHORD).polygon, levels.base, color, surface.hatch)  # type: ignore[arg-type]
            continue
        for part in convex_parts(way.outline):  # type: ignore[arg-type]
            top = levels.by_zone[key]
            yield Solid(
                f"zone:{key}",
                part.points,
                levels.base,
                top,
                color,
                surface.hatch,
                "",
                part.drawn,
                ground=True,
                casts=top > levels.base,
            )
            if key in beds:
                bloom = blooms.get(key, "")
                yield Solid(f"bed:{key}", part.points, top, top + beds[key], color, surface.hatch, bloom, part.drawn)


@dataclass(frozen=True, slots=True)
class Climb:
    """Steps of a zone: from the middle of its low edge to that of its high one, how many, and both levels [ft]."""

    low: Point
    high: Point
    levels: tuple[float, float]
    count: int

    def steps(self, key: str, shape: Any, base: float, color: str, hatch: str) -> Iterator[Solid]:
        """Each step as a slab of its own, the lowest first."""
        x, y = self.high[0] - self.low[0], self.high[1] - self.low[1]
        long = hypot(x, y)
        x, y = x / long, y / long
        ways = [(px - self.low[0]) * x + (py - self.low[1]) * y for px, py in shape.exterior.coords]
        start, tread = min(ways), (max(ways) - min(ways)) / self.count
        rise = (self.levels[1] - self.levels[0]) / self.count
        for step in range(self.count):
            strip = _strip(self.low, (x, y), start + step * tread, tread, max(map(abs, ways)) + 200)
            top = self.levels[0] + rise * (step + 1)
            for piece in getattr(cut := shape.intersection(strip), "geoms", [cut]):
                if piece.geom_type == "Polygon" and piece.area > 1e-6:
                    for part in parts_of(piece):
                        yield Solid(key, part.points, base, top, color, hatch, "", part.drawn, ground=True)


def _strip(origin: Point, way: Point, start: float, wide: float, reach: float) -> Any:
    (ox, oy), (x, y) = origin, way
    corners = [(start, -reach), (start + wide, -reach), (start + wide, reach), (start, reach)]
    return polygon_of((ox + a * x - b * y, oy + a * y + b * x) for a, b in corners)


RISER = 0.5  # ft: of steps whose zone does not say. Common practice


def _climbs(job: Job, levels: Levels) -> dict[str, Climb]:
    """The zones that are steps between a lower and a higher zone, by id."""
    found: dict[str, Climb] = {}
    steps = {str(zone.id) for zone in job.zones if zone.kind == "steps"}
    by_zone: dict[str, list[Meeting]] = {}
    for met in meetings(job) if steps else ():
        if met.stretch.zone in steps and met.neighbor in levels.by_zone and met.neighbor not in steps:
            by_zone.setdefault(met.stretch.zone, []).append(met)
    for zone, edges in by_zone.items():
        climbing = sorted(edges, key=lambda one: (levels.by_zone[one.neighbor], one.stretch.length))
        low, high = climbing[0], climbing[-1]
        ends = (levels.by_zone[low.neighbor], levels.by_zone[high.neighbor])
        a, b = low.stretch.middle, high.stretch.middle
        if ends[1] - ends[0] > 0.1 and hypot(b[0] - a[0], b[1] - a[1]) > 0.1:
            found[zone] = Climb(a, b, ends, max(1, round((ends[1] - ends[0]) / RISER)))
    return found


def house_of(job: Job, levels: Levels) -> tuple[tuple[Solid, ...], bool]:
    """The house as a block to its eaves, and whether its height is known; flat where it is not."""
    site = job.site
    if site.house is None:
        return (), True
    walls = site.wall_color if is_color(site.wall_color) else WALLS
    roof = site.roof_color if is_color(site.roof_color) else ROOF
    top = max(0.0, levels.base) + site.house_height if site.house_height else levels.base
    return tuple(
        Solid("house", part.points, levels.base, top, walls, top_color=roof, drawn=part.drawn)
        for part in convex_parts(site.house)
    ), bool(site.house_height)


def stays_of(job: Job, levels: Levels, flat: list[str]) -> Iterator[Solid]:
    """What stands there and stays, as high as it was measured; what goes or moves is left out."""
    for thing in job.existing:
        if thing.fate in {Fate.STAYS, Fate.PROTECTED} and not thing.utility and thing.kind not in FLUSH:
            made = list(_stays(thing, levels))
            if (made or thing.kind == OVERHEAD) and not thing.height and thing.kind in TALL_KINDS:
                flat.append(thing.title or thing.kind)
            yield from made


FLUSH = frozenset({SPRINKLERS, VALVE})  # level with the ground: nothing is seen of them
TALL_KINDS = frozenset({"tree", "shrub", "wall", "fence", "structure", OVERHEAD})
WIRE = 0.15  # ft: as thick as a wire is drawn


def _wire(thing: Existing, levels: Levels, key: str) -> Iterator[Solid]:
    """A wire at its height; one whose height is not known is not drawn."""
    for base, ends in along(fine_points(thing.points, thing.rises, CHORD), WIRE) if thing.height else ():
        low = levels.at(base[0]) + (thing.height or 0.0)
        yield Solid(key, base, low, low + WIRE, STAYS, drawn=ends, casts=False)


def _stays(thing: Existing, levels: Levels) -> Iterator[Solid]:
    key, high = f"existing:{thing.id}", thing.height or 0.0
    if thing.kind == OVERHEAD:
        yield from _wire(thing, levels, key)
        return
    if thing.outline is not None:
        for part in convex_parts(thing.outline):
            level = levels.at(part.points[0])
            leaves = thing.kind in SPREADS
            color, hatch = (LEAVES, "planting") if leaves else (STAYS, "")
            flat = not high and not leaves
            yield Solid(
                key, part.points, level, level + high, color, hatch, "", part.drawn, ground=flat, casts=high > 0
            )
    elif len(thing.points) > 1:
        for base, ends in along(fine_points(thing.points, thing.rises, CHORD), THICK.get(thing.kind, 0.3)):
            level = levels.at(base[0])
            yield Solid(key, base, level, level + high, STAYS, drawn=ends, casts=bool(high))
    elif thing.x is not None and thing.y is not None:
        at, spread = (thing.x, thing.y), thing.spread or SPREADS.get(thing.kind, 2.0)
        if high:
            yield from crown(key, at, levels.at(at), (high, spread), LEAVES)
        else:
            yield Solid(key, ring_around(at, spread / 2), levels.at(at), levels.at(at), LEAVES, "planting", casts=False)
