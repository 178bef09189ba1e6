"""A whole yard as it is seen: only what is on the plan, as high as recipes, measures and the plant table say."""

from collections.abc import Iterator, Sequence

from app.domain.basis import Basis, Plant
from app.domain.job import Job, only_included
from app.domain.palette.bloom_colors import bloom_hexes
from app.domain.palette.color import mean_of
from app.domain.palette.surfaces import PLANTED, surface_of
from app.domain.seen.bodies import crown
from app.domain.seen.ground import LEAVES, drawn_ways, house_of, levels_of, lot_of, stays_of, zones_of
from app.domain.seen.shapes import NONE, Shapes
from app.domain.seen.solids import Scene, Solid
from app.domain.seen.standing import Standing, Yard, features_of, runs_of
from app.domain.seen.steps import steps_of
from app.domain.takeoff.heights import standing_heights
from app.domain.takeoff.planted import PlantedRow, lists_of, planted_bed

BED = "planting-bed"  # the shape of a bed whose plants are not told one by one
ALONE = 3.0  # ft: plants that grow as wide are drawn one by one
MOST_ALONE = 300  # plants of a bed drawn one by one
YOUNG = 0.35  # share of the grown size that a plant has after its first year. Assumption


def scene_of(job: Job, basis: Basis, shapes: Shapes, *, grown: bool, month: int = 0) -> Scene:
    """The scene of a job as drawn; plants after their first year, or grown; in leaf, or as they bloom in a `month`."""
    job = only_included(job)
    levels = levels_of(job)
    heights = standing_heights(job, basis, frozenset(shapes.by_recipe))
    yard = Yard(job, basis, shapes, heights, levels, grown, month)
    found = Standing()
    beds, plants, masses = _beds(yard, found)
    house, known = house_of(job, levels)
    if house and not known:
        found.flat.append("House")
    found.solids += [*zones_of(job, basis, levels, beds, masses), *house, *stays_of(job, levels, found.flat), *plants]
    found.solids += steps_of(yard)
    runs_of(yard, found)
    features_of(yard, found)
    return Scene(
        solids=tuple(found.solids),
        lamps=tuple(found.lamps),
        flat=tuple(dict.fromkeys(title for title in found.flat if title)),
        assumed=tuple(dict.fromkeys(title for title in found.assumed if title)),
        lot=lot_of(job, levels),
        blooming=tuple({one.key: (one.common, one.colors) for one in found.blooming}.values()),
    )


def _beds(yard: Yard, found: Standing) -> tuple[dict[str, float], list[Solid], dict[str, str]]:
    """How high the leaves of each bed stand [ft] by zone, its large plants one by one, and the color of the rest."""
    high: dict[str, float] = {}
    masses: dict[str, str] = {}
    plants: list[Solid] = []
    lists = lists_of(yard.job)
    shape = yard.shapes.by_recipe.get(BED, NONE)
    for zone, way in drawn_ways(yard.job):
        if surface_of(yard.job, yard.basis, zone).hatch != PLANTED:
            continue
        key, rows = str(zone.id), lists.get(way.id, ())
        if not rows:
            high[key] = shape.grown_high if yard.grown else shape.high
            found.assumed.append(zone.title)
        elif way.outline is not None:
            bed = planted_bed(way.id, way.outline, rows, yard.basis)
            small = [row for row in bed.rows if row.plant and not _is_alone(row)]
            high[key] = min((_size(row, grown=yard.grown)[0] for row in small), default=0.0)
            masses[key] = _mass_color(small, yard.month)
            plants += _plants(bed.rows, yard.levels.by_zone[key], yard)
            found.assumed += [row.plant.common for row in bed.rows if row.plant]
            found.blooming += [row.plant for row in bed.rows if row.plant and yard.month in row.plant.bloom]
    return {key: height for key, height in high.items() if height > 0}, plants, masses


def bloom_on(plant: Plant | None, month: int) -> str:
    """The color of a plant's bloom in a month (0: none) as hex; empty where it does not bloom, or no color is told."""
    hexes = bloom_hexes(plant.colors) if plant and month in plant.bloom else ()
    return mean_of({color: 1 / len(hexes) for color in hexes}) if hexes else ""


def _mass_color(rows: Sequence[PlantedRow], month: int) -> str:
    """The color of small plants together from above, each by how many stand there; empty where none blooms."""
    shares: dict[str, float] = {}
    for row in rows if month else ():
        color = bloom_on(row.plant, month) or LEAVES
        shares[color] = shares.get(color, 0.0) + row.count
    return mean_of(shares) if shares.keys() - {LEAVES} and sum(shares.values()) else ""


def _is_alone(row: PlantedRow) -> bool:
    return row.plant is not None and row.plant.spread[1] >= ALONE and len(row.points) <= MOST_ALONE


def _size(row: PlantedRow, *, grown: bool) -> tuple[float, float]:
    """Height and spread [ft]: the middle of what the table says when grown, or a share of it after the first year."""
    if row.plant is None:
        return 0.0, 0.0
    share = 1.0 if grown else YOUNG
    return sum(row.plant.height) / 2 * share, sum(row.plant.spread) / 2 * share


def _plants(rows: tuple[PlantedRow, ...], level: float, yard: Yard) -> Iterator[Solid]:
    for row in rows:
        if _is_alone(row):
            size, bloom = _size(row, grown=yard.grown), bloom_on(row.plant, yard.month)
            for place, at in enumerate(row.points):
                yield from crown(f"plant:{row.planting.id}:{place}", at, level, size, LEAVES, bloom)
