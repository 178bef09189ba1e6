"""A yard under the sun: where it lies, what throws shadows on it, hours of sun where something stands."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.domain.basis import Basis
from app.domain.errors import BadValue
from app.domain.job import Existing, Fate, Job, RunKind
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.arcs import Point
from app.domain.plan.measures import bounds, centroid
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import Outline, chords
from app.domain.takeoff.planted import lists_of, planted_bed
from app.domain.trades.sun import Blocker, Grid, Spot, hours_at, typical_lights

YEAR = 2027  # whose 21sts stand for all: the sun of other years is the same to half a degree
SEASON = (4, 5, 6)  # months that stand for the growing season: July to September mirror them
FENCE, STRUCTURE, TREE = 6.0, 9.0, 25.0  # ft high where nobody typed it. Assumption
SPREAD = 16.0  # ft wide crowns, where nobody measured. Assumption
CLEAR = 0.25  # share of a tree's height below its crown. Assumption
MOST_PLACES = 300  # of a grid, each way
COARSE = 0.1  # ft: chords of what throws shadows
EVERGREEN = ("pine", "spruce", "fir", "cedar", "holly", "hemlock", "juniper", "arborvitae", "evergreen", "magnolia")


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Where a yard lies, what stands on it, how its plan is turned; `assumed` says whose heights nobody typed."""

    spot: Spot
    north: float
    blockers: tuple[Blocker, ...]
    assumed: tuple[str, ...]

    @property
    def south(self) -> bool:
        """Whether it lies south of the equator."""
        return self.spot.latitude < 0


_SCENES: KeptByInputs["Scene | tuple[str, ...]"] = KeptByInputs(64)
_HOURS: KeptByInputs[Mapping[int, tuple[float, ...]]] = KeptByInputs(512)


def scene_of(job: Job) -> "Scene | tuple[str, ...]":
    """What of a yard decides its sun; or what is missing for it, in words."""
    site, rests_on = job.site, (job.site, Same(job.existing), Same(job.runs), job.head.time_zone)
    return _SCENES.get_or_make(job.head.id, rests_on, lambda: missing_of(job) or _scene(job, site.north))


def missing_of(job: Job) -> tuple[str, ...]:
    """What the sun of a yard cannot be worked out without."""
    site = job.site
    wanted = {
        "latitude and longitude": None not in (site.latitude, site.longitude),
        "the outline of the house": site.house is not None,
        "how high the house is to its eaves": site.house_height is not None,
    }
    return tuple(words for words, there in wanted.items() if not there)


def _scene(job: Job, north: float) -> "Scene | tuple[str, ...]":
    site = job.site
    try:
        spot = Spot(site.latitude or 0.0, site.longitude or 0.0, job.head.time_zone)
    except BadValue as wrong:
        return (wrong.sentence,)
    assumed: list[str] = []
    blockers = [*_house(job), *_standing(job.existing, assumed), *_built(job, assumed)]
    return Scene(spot, north, tuple(blockers), tuple(assumed))


def _house(job: Job) -> Iterator[Blocker]:
    if job.site.house is not None and job.site.house_height:
        yield Blocker(chords(job.site.house, COARSE).polygon, job.site.house_height)


def _standing(existing: Sequence[Existing], assumed: list[str]) -> Iterator[Blocker]:
    """Fences, walls, structures and trees that stay."""
    for one in existing:
        usual = {"fence": FENCE, "wall": FENCE, "structure": STRUCTURE, "tree": TREE}.get(one.kind)
        if usual is None or one.fate is Fate.GOES:
            continue
        shape = _shape_of(one)
        if shape is None:
            continue
        if one.height is None:
            assumed.append(f"{one.title or one.kind}: {usual:g} ft high")
        high = usual if one.height is None else one.height
        tree = one.kind == "tree"
        leafy = tree and not any(word in one.title.casefold() for word in EVERGREEN)
        yield Blocker(shape, high, high * CLEAR if tree else 0.0, leafy)


def _shape_of(one: Existing) -> BaseGeometry | None:
    if one.outline is not None:
        return chords(one.outline, COARSE).polygon
    if len(one.points) > 1:
        line: BaseGeometry = shapely.linestrings(fine_points(one.points, one.rises, COARSE))
        return line
    if one.kind == "tree" and one.x is not None and one.y is not None:
        return crown((one.x, one.y), one.spread or SPREAD)
    return None


def crown(at: Point, spread: float) -> BaseGeometry:
    """A crown from above: a circle of sixteen sides."""
    found: BaseGeometry = shapely.buffer(shapely.points(at), spread / 2, quad_segs=4)
    return found


def _built(job: Job, assumed: list[str]) -> Iterator[Blocker]:
    """Walls and fences that are built."""
    for run in job.runs:
        if run.kind not in (RunKind.WALL, RunKind.FENCE) or len(run.points) < 2:
            continue
        if run.height is None and run.kind is RunKind.WALL:
            continue  # a wall without a height is not known to stand above the ground
        if run.height is None:
            assumed.append(f"{run.title or 'a fence'}: {FENCE:g} ft high")
        yield Blocker(shapely.linestrings(fine_points(run.points, run.rises, COARSE)), run.height or FENCE)


def grown(job: Job, basis: Basis) -> tuple[Blocker, ...]:
    """The trees of the plant lists as they stand when grown."""
    lists, found = lists_of(job), []
    for zone in job.zones:
        way = job.chosen(zone)
        rows = lists.get(way.id, ()) if way else ()
        if way is None or way.outline is None or not rows:
            continue
        for row in planted_bed(way.id, way.outline, rows, basis).rows:
            if row.plant and row.plant.kind == "tree":
                high, spread = row.plant.height[1], row.plant.spread[1]
                crowns = (crown(at, spread) for at in row.points)
                found += [Blocker(shape, high, high * CLEAR, not row.plant.evergreen) for shape in crowns]
    return tuple(found)


def hours_where(scene: Scene, points: Sequence[Point], months: Sequence[int], key: object) -> Mapping[int, Any]:
    """Hours of sun on the 21st of each month at some points [ft]; kept by scene and points under a key."""
    rests_on = (Same(scene), tuple(points), tuple(months))

    def work() -> Mapping[int, tuple[float, ...]]:
        lights = typical_lights(scene.spot, YEAR, months)
        found = hours_at(points, scene.blockers, lights, north=scene.north, south=scene.south)
        return {month: tuple(hours.tolist()) for month, hours in found.items()}

    return _HOURS.get_or_make(key, rests_on, work)


def season_hours(scene: Scene, points: Sequence[Point], key: object) -> float:
    """Mean hours of sun a day over the growing season at some points [ft]."""
    months = SEASON if not scene.south else tuple((month + 5) % 12 + 1 for month in SEASON)
    found = hours_where(scene, points, months, key)
    every = [hour for hours in found.values() for hour in hours]
    return sum(every) / (len(points) * len(months)) if points else 0.0


@dataclass(frozen=True, slots=True)
class Evening:
    """Low sun at a place before it sets: bearings from and to [degrees], until when it reaches the place [min]."""

    first: float
    last: float
    until: int


def evening(scene: Scene, at: Point, month: int, low: float = 25.0) -> Evening | None:
    """The low sun of the typical day of a month that reaches a place [ft]; None where something stands before it."""
    lights = [
        one for one in typical_lights(scene.spot, YEAR, (month,)) if one.sun.bearing > 180 and one.sun.altitude <= low
    ]
    reached = [
        one
        for one in lights
        if hours_at([at], scene.blockers, [one], north=scene.north, south=scene.south)[month][0] > 0
    ]
    if not reached:
        return None
    return Evening(reached[0].sun.bearing, reached[-1].sun.bearing, reached[-1].minutes)


def grid_of(job: Job, step: float = 1.0) -> Grid | None:
    """A grid over the lot, else over house and zones; None where nothing is drawn."""
    outlines = [job.site.lot] if job.site.lot else [way.outline for way in job.alternatives] + [job.site.house]
    boxes = [bounds(one) for one in outlines if one is not None]
    if not boxes:
        return None
    west, south = min(box[0] for box in boxes), min(box[1] for box in boxes)
    east, north = max(box[2] for box in boxes), max(box[3] for box in boxes)
    step = max(step, (east - west) / MOST_PLACES, (north - south) / MOST_PLACES)
    wide, deep = (max(1, round(length / step)) for length in (east - west, north - south))
    return Grid(west + step / 2, south + step / 2, wide, deep, step)


def mean_within(outline: Outline, grid: Grid, hours: Any) -> tuple[float, ...]:
    """The mean of each month's hours [month × deep × wide] over an outline; of its middle where no place lies in it."""
    ground = chords(outline).polygon
    x = np.arange(grid.wide) * grid.step + grid.west
    y = np.arange(grid.deep) * grid.step + grid.south
    shapely.prepare(ground)
    inside = shapely.contains_xy(ground, *np.meshgrid(x, y))
    if not inside.any():
        east, north = centroid(outline)
        column, row = round((east - grid.west) / grid.step), round((north - grid.south) / grid.step)
        inside[min(max(row, 0), grid.deep - 1), min(max(column, 0), grid.wide - 1)] = True
    return tuple(float(month[inside].mean()) for month in hours)
