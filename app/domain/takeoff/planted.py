"""The plant list of a bed: how many of each species stand in it, what is bought and done for them.

Where a bed has a list, it takes the place of what its recipe plants by shares of the area.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

import shapely

from app.domain.basis import Assembly, Basis, Plant, PlantSize
from app.domain.errors import OutlayError
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Job, PlaceKind, Planting
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline, chords
from app.domain.plant import material_key
from app.domain.trades.planting.placing import Alone, Fill, placed

ROLES = frozenset({"perennial", "groundcover", "shrub", "tree", "vine", "bulb"})  # of what is planted
TASKS = frozenset({"plant-plug", "plant-quart", "plant-1-gal", "plant-shrub", "plant-large-shrub", "plant-bulb"})
PLANTED = "planting"  # the hatch of a bed
ON_OUTLINE = 1 / 12  # ft: a plant this near to the outline stands in the bed


@dataclass(frozen=True, slots=True)
class PlantedRow:
    """A row of a list on its ground: where its plants stand [ft], what is bought and done for each; None: not known."""

    planting: Planting
    plant: Plant | None
    size: PlantSize | None
    spacing: float
    points: tuple[Point, ...] = ()
    material: str = ""
    role: str = ""
    loss: float = 0.0
    task: str = ""
    task_title: str = ""

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.points)

    @property
    def title(self) -> str:
        """The species, its variety and size in words."""
        name = self.plant.botanical if self.plant else self.planting.species
        variety = f" “{self.planting.variety}”" if self.planting.variety else ""
        return f"{name}{variety}, {self.size.title if self.size else self.planting.size}"


@dataclass(frozen=True, slots=True)
class PlantedBed:
    """All rows of a bed, and what should be known of them."""

    rows: tuple[PlantedRow, ...]
    findings: tuple[Finding, ...]


_BEDS: KeptByInputs[PlantedBed] = KeptByInputs(256)
_LISTS: KeptByInputs[Mapping[UUID, tuple[Planting, ...]]] = KeptByInputs(64)


def lists_of(job: Job) -> Mapping[UUID, tuple[Planting, ...]]:
    """The plant lists of a job by alternative; the very same tuples while no row is edited."""
    return _LISTS.get_or_make(job.head.id, (Same(job.plantings),), lambda: _lists(job))


def _lists(job: Job) -> Mapping[UUID, tuple[Planting, ...]]:
    found: dict[UUID, tuple[Planting, ...]] = {}
    for one in job.plantings:
        found[one.alternative_id] = (*found.get(one.alternative_id, ()), one)
    return found


def planted_bed(way_id: UUID, outline: Outline, rows: tuple[Planting, ...], basis: Basis) -> PlantedBed:
    """The plants of a bed's list on its outline; kept while outline, list and table are what they were."""
    rests_on = (outline, rows, Same(basis.plants), Same(basis.plant_sizes), Same(basis.materials), Same(basis.tasks))
    return _BEDS.get_or_make(way_id, rests_on, lambda: _planted(outline, rows, basis))


def plants_in(assembly: Assembly) -> bool:
    """Whether a recipe plants a bed: then it takes the list of its zone."""
    return assembly.measures == "zone" and assembly.drawing.hatch == PLANTED


def is_planted(key: str, role: str, *, is_task: bool) -> bool:
    """Whether a piece of a bed's recipe is what the list stands in for."""
    return key in TASKS if is_task else role in ROLES


def planting_work(job: Job, basis: Basis, way_id: UUID) -> UUID | None:
    """The work that takes the list of an alternative: the first on it whose recipe plants a bed."""
    for work in job.works:
        recipe = basis.assemblies.get(work.assembly) if work.place_id == way_id else None
        if recipe is not None and work.place is PlaceKind.ALTERNATIVE and plants_in(recipe):
            return work.id
    return None


def _planted(outline: Outline, rows: tuple[Planting, ...], basis: Basis) -> PlantedBed:
    known = [_known(one, basis) for one in rows]
    alone = [Alone(at, row.spacing) for row in known if row.planting.pattern == "placed" for at in row.planting.points]
    filling = [row for row in known if row.planting.pattern != "placed"]
    try:
        found = placed(outline, [_fill(row) for row in filling], alone)
    except OutlayError as wrong:
        return PlantedBed(tuple(known), (_not_placed(rows[0], wrong),))
    places = {row.planting.id: points for row, points in zip(filling, found, strict=True)}
    placed_rows = tuple(replace(row, points=places.get(row.planting.id, row.planting.points)) for row in known)
    return PlantedBed(placed_rows, tuple(_findings(outline, placed_rows)))


def _known(one: Planting, basis: Basis) -> PlantedRow:
    plant, size = basis.plants.get(one.species), basis.plant_sizes.get(one.size)
    spacing = one.spacing or (plant.spacing / 12 if plant else 1.0)
    material = basis.materials.get(material_key(one.species, one.size, one.variety))
    task = basis.tasks.get(size.task) if size else None
    if plant is None or size is None or material is None or task is None:
        return PlantedRow(one, plant, size, spacing)
    bought = (material.key, material.role, material.loss)
    return PlantedRow(one, plant, size, spacing, (), *bought, task.key, task.title)


def _fill(row: PlantedRow) -> Fill:
    one = row.planting
    return Fill(
        spacing=row.spacing, triangular=one.pattern != "square", share=max(one.share, 0.0) or 1.0, under=one.under
    )


def _findings(outline: Outline, rows: Sequence[PlantedRow]) -> Iterator[Finding]:
    ground = chords(outline).polygon.buffer(ON_OUTLINE)
    for row in rows:
        where = f"planting:{row.planting.id}"
        if not row.material:
            yield Finding(
                rule="plant-not-known",
                severity=Severity.STOP,
                stop=Stop.MONEY,
                where=where,
                what=f"{row.title}: the plant table has no such plant in this size, so it is not priced.",
                measured=f"{row.planting.species} {row.planting.size}",
                remedy="Choose a plant and a size of the table.",
            )
        elif not row.count:
            yield Finding(
                rule="no-plant-fits",
                severity=Severity.WARN,
                where=where,
                what=f"{row.title}: none stands in its bed.",
                measured="0",
                remedy="Place plants one by one, give it a larger share, or set them closer.",
            )
        outside = sum(not shapely.contains_xy(ground, *at) for at in row.points) if row.planting.points else 0
        if outside and row.planting.pattern == "placed":
            yield Finding(
                rule="plant-outside-bed",
                severity=Severity.WARN,
                where=where,
                what=f"{row.title}: {outside} of {row.count} stand outside of their bed.",
                measured=str(outside),
                remedy="Move them into the bed, or draw the bed around them.",
            )


def _not_placed(row: Planting, wrong: OutlayError) -> Finding:
    return Finding(
        rule="plants-not-placed",
        severity=Severity.WARN,
        where=f"planting:{row.id}",
        what=f"The plants of this bed are not counted: {wrong.sentence}",
        measured=wrong.sentence,
        remedy="Change the spacing.",
    )
