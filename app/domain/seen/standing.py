"""What is built above the ground: walls, counters, fences, posts with wires, columns, fires, roofs, lights."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from uuid import UUID

from app.domain.basis import Assembly, Basis, Plant
from app.domain.job import Feature, Job, PlaceKind, Run, RunKind, Work
from app.domain.palette.surfaces import finishes_seen, works_on
from app.domain.palette.typed_color import seen_as
from app.domain.plan.arcs import Point
from app.domain.plan.open_lines import fine_points
from app.domain.seen.bodies import along, box_around, crown, ring_around, spread_out
from app.domain.seen.convex import CHORD
from app.domain.seen.ground import LEAVES, NO_COLOR, Levels
from app.domain.seen.shapes import NONE, Shape, Shapes, feet_of
from app.domain.seen.sizes import size_of, stands_along
from app.domain.seen.solids import Lamp, Solid
from app.domain.takeoff.heights import Stands

TOPS = frozenset({"cap", "counter top"})  # roles that are seen from above
DROPS = 1.0  # ft beside a wall, where the ground on either side is looked at
POST, SAG = 0.35, 0.04  # ft across; of the span between posts. Assumption
SEEN_RUNS = frozenset({RunKind.WALL, RunKind.FENCE, RunKind.EDGING, RunKind.OTHER})
POLE = "#2f3433"
Height = tuple[float, float, float]  # a point of the plan and its height [ft]


@dataclass(slots=True)
class Standing:
    """What was found so far; `flat` and `assumed` are told beside the drawing."""

    solids: list[Solid] = field(default_factory=list)
    lamps: list[Lamp] = field(default_factory=list)
    flat: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)
    blooming: list[Plant] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Yard:
    """What all of it is told by."""

    job: Job
    basis: Basis
    shapes: Shapes
    heights: Mapping[UUID, Stands]
    levels: Levels
    grown: bool
    month: int = 0  # in whose bloom plants stand; 0: in leaf


@dataclass(frozen=True, slots=True)
class Built:
    """One thing with its work: its shape, its height, its parameters, its colors."""

    shape: Shape
    height: float | None
    parameters: Mapping[str, float]
    color: str
    top_color: str
    hatch: str
    recipe: str = ""
    leaves: str = ""  # the color of its drawing, whatever lies at its foot


def runs_of(yard: Yard, found: Standing) -> None:
    """Everything that is built along a line and is seen above the ground."""
    for run in yard.job.runs:
        line = fine_points(run.points, run.rises, CHORD)
        if len(line) < 2 or run.kind not in SEEN_RUNS:
            continue
        built = built_on(yard, PlaceKind.RUN, run.id, run.zone_id)
        if built.recipe in yard.shapes.unseen:
            continue
        height = built.height if built.height is not None else run.height
        if not height:
            if run.kind in {RunKind.WALL, RunKind.FENCE}:
                found.flat.append(run.title or built.recipe)
            height = 0.0
        if built.shape.wire:
            _wired(yard, run, line, (built, height), found)
        else:
            found.solids += _wall(yard, run, line, built, height)


def _wall(yard: Yard, run: Run, line: Sequence[Point], built: Built, height: float) -> Iterator[Solid]:
    thick = feet_of(built.shape.across, built.parameters) or 0.3
    for base, ends in along(line, thick):
        level = _foot(yard.levels, base)
        yield Solid(
            f"run:{run.id}", base, level, level + height, built.color, built.hatch, built.top_color, ends,
            casts=height > 0,
        )  # fmt: skip


def _foot(levels: Levels, base: Sequence[Point]) -> float:
    """Where a wall stands: on the lower of the two sides beside its middle."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = base
    middle = ((ax + bx + cx + dx) / 4, (ay + by + cy + dy) / 4)
    long = max(((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5, 1e-9)
    side = (-(by - ay) / long, (bx - ax) / long)
    return min(levels.at((middle[0] + side[0] * step, middle[1] + side[1] * step)) for step in (-DROPS, DROPS))


def _wired(yard: Yard, run: Run, line: Sequence[Point], what: tuple[Built, float], found: Standing) -> None:
    """Posts and what hangs between them; its lights shine from the middle of each span."""
    built, height = what
    posts = spread_out(line, feet_of(built.shape.posts_every, built.parameters) or 20.0)
    key = f"run:{run.id}"
    for at in posts:
        level = yard.levels.at(at)
        found.solids.append(Solid(key, box_around(at, POST, POST, 0.0), level, level + height, built.color))
    tops = [(*at, yard.levels.at(at) + height) for at in posts]
    points = [tops[0]]
    for (ax, ay, az), (bx, by, bz) in pairwise(tops):
        span = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        middle = ((ax + bx) / 2, (ay + by) / 2, (az + bz) / 2 - span * SAG * bool(built.shape.pool))
        points += [middle, (bx, by, bz)]
        if built.shape.pool:
            at = (middle[0], middle[1])
            found.lamps.append(Lamp(at, yard.levels.at(at), built.shape.pool))
    found.solids += [_span(key, a, b) for a, b in pairwise(points)]


def _span(key: str, start: Height, end: Height) -> Solid:
    """A stretch of wire as a solid of no thickness, so that it is hidden where something stands before it."""
    (ax, ay, az), (bx, by, bz) = start, end
    ((base, _),) = along([(ax, ay), (bx, by)], 0.02)
    return Solid(key, base, min(az, bz), max(az, bz) + 0.02, POLE, line=(((ax, ay), az), ((bx, by), bz)), casts=False)


def features_of(yard: Yard, found: Standing) -> None:
    """Everything that stands at a point."""
    for feature in yard.job.features:
        if feature.x is None or feature.y is None:
            continue
        built = built_on(yard, PlaceKind.FEATURE, feature.id, feature.zone_id)
        if built.recipe not in yard.shapes.unseen:
            _feature(yard, feature, (feature.x, feature.y), built, found)


def _feature(yard: Yard, feature: Feature, at: Point, built: Built, found: Standing) -> None:
    key, shape, level = f"feature:{feature.id}", built.shape, yard.levels.at(at)
    height = feature.height or built.height or 0.0
    if shape.pool:
        found.lamps.append(Lamp(at, level, shape.pool))
    if shape.crown:
        size = (shape.grown_high, shape.grown_crown) if yard.grown else (height, feature.length or shape.crown)
        found.assumed.append(feature.title)
        found.solids += crown(key, at, level, size, built.leaves or LEAVES)
        return
    if not height and not shape.pool:
        found.flat.append(feature.title or built.recipe)
    long, wide = _size(feature, built)
    angle = 0.0 if abs(long - wide) < 0.01 else stands_along(yard.job, feature)
    if shape.roof and height:
        found.solids += _roofed(key, at, (long, wide, angle), level, height, built)
        return
    base = ring_around(at, long / 2) if shape.round else box_around(at, long, wide, angle)
    found.solids.append(
        Solid(key, base, level, level + height, built.color, built.hatch, built.top_color, casts=height > 0)
    )


def _size(feature: Feature, built: Built) -> tuple[float, float]:
    """Its length and width: as typed, else by its recipe's parameters, else as such things are."""
    told = feet_of(built.shape.long, built.parameters), feet_of(built.shape.wide, built.parameters)
    if feature.length or feature.area or told[0] is None or told[1] is None:
        return size_of(feature, f"{built.recipe} {feature.title}".lower())
    return told[0], told[1]


def _roofed(
    key: str, at: Point, size: tuple[float, float, float], level: float, height: float, built: Built
) -> Iterator[Solid]:
    """Posts at the corners and an open roof on them."""
    long, wide, angle = size
    thick = min(built.shape.roof, height)
    inner = box_around(at, max(long - 1, 0.5), max(wide - 1, 0.5), angle)
    count = round(feet_of(built.shape.posts, built.parameters) or 4)
    for post in inner if count >= 4 else inner[:count]:
        yield Solid(key, box_around(post, POST, POST, angle), level, level + height - thick, built.color)
    roof = box_around(at, long, wide, angle)
    yield Solid(key, roof, level + height - thick, level + height, built.color, "deck", open=True)


def built_on(yard: Yard, place: PlaceKind, place_id: UUID, zone_id: UUID | None) -> Built:
    """The work on a thing that says how it stands: the first that has a height or a shape."""
    known = [work for work in works_on(yard.job, place, place_id) if work.assembly in yard.basis.assemblies]
    told = [work for work in known if work.assembly in yard.shapes.by_recipe or work.id in yard.heights]
    work = next(iter(told or known), None)
    if work is None:
        return Built(NONE, None, {}, NO_COLOR, "", "")
    assembly = yard.basis.assemblies[work.assembly]
    stands = yard.heights.get(work.id, Stands(None, {}))
    side, top = _colors(yard, work, assembly, zone_id)
    shape = yard.shapes.by_recipe.get(work.assembly, NONE)
    hatch = assembly.drawing.hatch if assembly.drawing.hatch != "none" else ""
    return Built(
        shape, stands.height, stands.parameters, side, top, hatch, work.assembly, seen_as(assembly.drawing.color, {})
    )


def _colors(yard: Yard, work: Work, assembly: Assembly, zone_id: UUID | None) -> tuple[str, str]:
    """The color of its sides, and of its top where that is another."""
    seen = list(finishes_seen(yard.job, yard.basis, zone_id, work, assembly))
    sides = [seen_as(one.color, one.blend) for one in seen if one.role not in TOPS]
    tops = [seen_as(one.color, one.blend) for one in seen if one.role in TOPS]
    own = seen_as(assembly.drawing.color, {})
    return next(iter(sides), own) or NO_COLOR, next(iter(tops), "")
