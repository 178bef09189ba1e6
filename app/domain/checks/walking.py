"""The ground people walk on in a yard: the lot without what stands, is planted or holds water, and its doors."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import shapely

from app.domain.checks.yard import Placed, Yard
from app.domain.job import Existing, Fate, Feature, Opening, Run, ZoneKind
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.between import from_point
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import Outline, chords
from app.domain.plan.passing import Ground
from app.domain.takeoff.drawn import BARRIERS, THIN, gates, of_existing
from app.domain.takeoff.measures import zone_title

NOT_WALKED = frozenset({ZoneKind.PLANTING, ZoneKind.WATER})
STANDS = frozenset({"wall", "fence", "bed", "shrub", "structure", "tree"})  # kinds of what stays and is walked around
TRUNK = 0.75  # ft: half of what a tree takes of the ground. Assumption
AT_THE_HOUSE = 1.0  # ft: an opening this near to the house is a door of it
SIZED = frozenset({"fire", "cooking", "water", "walls and steps"})  # groups of things that stand on the ground
TABLE = "table"

Shape = Any


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something people walk around: the key and words of its place, and the ground it takes."""

    where: str
    words: str
    shape: Shape


_GROUND: KeptByInputs[Ground] = KeptByInputs(32)
_OBSTACLES: KeptByInputs[tuple[Obstacle, ...]] = KeptByInputs(32)
_ONE: KeptByInputs[Obstacle] = KeptByInputs(2048, each=1)


def walking_ground(yard: Yard) -> Ground | None:
    """Where people can walk; None where no lot is drawn. The same one while nothing in the way is edited."""
    lot = yard.job.site.lot
    if lot is None:
        return None
    found = obstacles(yard)
    rests_on = (lot, yard.job.site.house, found)
    house = [chords(yard.job.site.house).polygon] if yard.job.site.house else []
    return _GROUND.get_or_make(
        yard.job.head.id,
        rests_on,
        lambda: Ground(chords(lot).polygon.difference(shapely.union_all([*house, *(one.shape for one in found)]))),
    )


def doors(yard: Yard) -> Shape | None:
    """The doors of the house as points; None where none is on the plan."""
    house = yard.job.site.house
    if house is None:
        return None
    found = [shapely.points((one.x, one.y)) for one in yard.job.site.openings if is_door(house, one)]
    return shapely.union_all(found) if found else None


def is_door(house: Outline, opening: Opening) -> bool:
    """Whether an opening is a door of the house, and no gate."""
    return from_point(house, (opening.x, opening.y)) <= AT_THE_HOUSE


def obstacles(yard: Yard) -> tuple[Obstacle, ...]:
    """All that people walk around, but for the house."""
    return _OBSTACLES.get_or_make(
        yard.job.head.id, (Same(yard),), lambda: (*_there(yard), *_planted(yard), *_lines(yard), *_things(yard))
    )


def _obstacle(where: str, words: str, rests_on: tuple[object, ...], shape: Callable[[], Shape]) -> Obstacle:
    """An obstacle, the very same while what it rests on is."""
    return _ONE.get_or_make(where, (words, *rests_on), lambda: Obstacle(where, words, shape()))


def _there(yard: Yard) -> Iterator[Obstacle]:
    openings = gates(yard.job)
    for one in yard.job.existing:
        if one.kind in STANDS and one.fate in {Fate.STAYS, Fate.PROTECTED}:
            drawn = one.outline is not None or len(one.points) > 1 or (one.x is not None and one.y is not None)
            shape = partial(_trunk, one) if one.kind == "tree" else partial(of_existing, one, openings)
            if drawn:
                words = one.title or f"the {one.kind}"
                yield _obstacle(f"existing:{one.id}", words, (one, yard.job.site.openings), shape)


def _trunk(tree: Existing) -> Shape:
    if tree.x is None or tree.y is None:
        return of_existing(tree, shapely.union_all([]))
    return shapely.points((tree.x, tree.y)).buffer(TRUNK)


def _planted(yard: Yard) -> Iterator[Obstacle]:
    for zone in yard.job.zones:
        outline = yard.outlines.get(zone.id)
        if zone.kind in NOT_WALKED and outline is not None:
            words = zone_title(zone)
            yield _obstacle(f"zone:{zone.id}", words, (outline,), partial(shape_of, outline))


def shape_of(outline: Outline) -> Shape:
    """The ground of an outline, for the geometry library."""
    return chords(outline).polygon


def line_of(run: Run | Existing) -> Shape:
    """A line that is drawn, for the geometry library."""
    return shapely.linestrings(fine_points(run.points, run.rises))


def _lines(yard: Yard) -> Iterator[Obstacle]:
    openings = gates(yard.job)
    for run in yard.job.runs:
        half = half_depth(yard, run)
        if half and len(run.points) > 1:
            rests_on = (run.points, run.rises, half, yard.job.site.openings)
            shape = partial(_across, run, half, openings)
            yield _obstacle(f"run:{run.id}", run.title or f"the {run.kind}", rests_on, shape)


def _across(run: Run, half: float, openings: Shape) -> Shape:
    return line_of(run).buffer(half, cap_style="flat").difference(openings)


def half_depth(yard: Yard, run: Run) -> float:
    """Half of what a line takes of the ground across it [ft]; 0 where people step over it."""
    found = yard.on(f"run:{run.id}")
    deep = [yard.parameter(one, "deep") or 0.0 for one in found if one.assembly.group == "cooking"]
    if any(deep):
        return max(deep) / 2
    return THIN if run.kind in BARRIERS or any(one.assembly.group == "walls and steps" for one in found) else 0.0


def _things(yard: Yard) -> Iterator[Obstacle]:
    for one in yard.job.features:
        half = half_size(yard, one)
        if half and one.x is not None and one.y is not None:
            place = (one.x, one.y)
            yield _obstacle(f"feature:{one.id}", one.title or "a thing", (place, half), partial(_disk, place, half))


def _disk(place: tuple[float, float], half: float) -> Shape:
    return shapely.points(place).buffer(half)


def half_size(yard: Yard, feature: Feature) -> float:
    """From the middle of a thing to its rim [ft], the longer way; 0 where it takes no ground that is known of."""
    if is_table(feature):
        return (feature.length or 0.0) / 2
    return half_across(yard, feature, SIZED)


def half_across(yard: Yard, feature: Feature, groups: frozenset[str] | None = None) -> float:
    """The same by the numbers of its works alone, those of some groups or of all [ft]."""
    works = yard.on(f"feature:{feature.id}")
    return max((_half(yard, one) for one in works if groups is None or one.assembly.group in groups), default=0.0)


def _half(yard: Yard, placed: Placed) -> float:
    inside, wall = yard.parameter(placed, "inside"), yard.parameter(placed, "wall")
    if inside is not None:
        return inside / 2 + (wall or 0.0)
    return max((yard.parameter(placed, name) or 0.0 for name in ("long", "wide", "side")), default=0.0) / 2


def is_table(feature: Feature) -> bool:
    """Whether a thing is a table: it is called so."""
    return TABLE in feature.title.lower()
