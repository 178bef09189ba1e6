"""Beds with their plant lists: rows added and changed, what stands in each, what one looks for in the plant table."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid4

from app.domain.basis import Basis, Plant, PlantSize
from app.domain.errors import BadValue, NotFound
from app.domain.findings import Finding
from app.domain.job import Alternative, Job, Planting, Zone, ZoneKind
from app.domain.plan.measures import area
from app.domain.plant import material_key, sizes_for, usual_size
from app.domain.takeoff.plant_letters import plant_letters
from app.domain.takeoff.planted import PlantedBed, PlantedRow, lists_of, planted_bed, planting_work
from app.domain.takeoff.stocked import stand_in
from app.domain.trades.planting.holes import Hole, hole_for, lifting_words
from app.domain.trades.planting.placing import LEAST, MOST
from app.services import jobs
from app.services.book import own
from app.services.changes import Applied
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.plant_table import found_plants
from app.services.prices import set_price
from app.services.sheets import Sheet

SHOWN = 24  # plants that a search lists at once
WOODY = frozenset({"tree", "shrub"})


@dataclass(frozen=True, slots=True, kw_only=True)
class RowLine:
    """A row of a bed's list as its table shows it; `lift` says how its balls are moved, where one person cannot."""

    row: PlantedRow
    letters: str
    hole: Hole | None
    lift: str

    @property
    def weight(self) -> float:
        """What all of them weigh wet [lb]."""
        return self.row.count * self.row.size.weight if self.row.size else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BedLine:
    """A bed: its zone and way, its rows, whether a recipe plants it, what should be known."""

    zone: Zone
    way: Alternative
    area: float | None
    lines: Sequence[RowLine]
    planted: bool
    findings: Sequence[Finding] = ()

    @property
    def count(self) -> int:
        """How many plants stand in it."""
        return sum(line.row.count for line in self.lines)

    @property
    def weight(self) -> float:
        """What its plants weigh wet [lb]."""
        return sum(line.weight for line in self.lines)

    @property
    def dug(self) -> float:
        """What is dug for them [cu ft]."""
        return sum(line.row.count * line.hole.dug for line in self.lines if line.hole)


def bed_lines(view: Sheet) -> Sequence[BedLine]:
    """Every bed of the chosen plan, with what is to settle about it."""
    found = lines_of_beds(view.job, view.basis)
    keys = {one.way.id: {f"planting:{line.row.planting.id}" for line in one.lines} for one in found}
    return [
        replace(one, findings=[point for point in view.findings if point.where in keys[one.way.id]]) for one in found
    ]


def lines_of_beds(job: Job, basis: Basis) -> Sequence[BedLine]:
    """Every bed of a plan: zones for planting, those that a recipe plants, those that have a list."""
    lists, letters = lists_of(job), plant_letters(job, basis)
    found = []
    for zone in job.zones:
        way = job.chosen(zone)
        if way is None:
            continue
        planted = planting_work(job, basis, way.id) is not None
        rows = lists.get(way.id, ())
        if not (planted or rows or zone.kind is ZoneKind.PLANTING):
            continue
        bed = planted_bed(way.id, way.outline, rows, basis) if way.outline else _undrawn(rows, basis)
        lines = [_line(row, letters) for row in bed.rows]
        size = area(way.outline) if way.outline else None
        found.append(BedLine(zone=zone, way=way, area=size, lines=lines, planted=planted))
    return found


def _undrawn(rows: Sequence[Planting], basis: Basis) -> PlantedBed:
    """The list of a bed that has no outline yet: nothing of it is counted."""
    known = (PlantedRow(one, basis.plants.get(one.species), basis.plant_sizes.get(one.size), 0.0) for one in rows)
    return PlantedBed(tuple(known), ())


def _line(row: PlantedRow, letters: Mapping[str, str]) -> RowLine:
    size, plant = row.size, row.plant
    woody = plant is not None and plant.kind in WOODY
    hole = hole_for(size.ball, size.deep, shallow=1.0 if woody else 0.0, saucer=woody) if size else None
    lift = lifting_words(size.weight) if size else ""
    return RowLine(row=row, letters=letters.get(row.planting.species, ""), hole=hole, lift=lift)


def find_plants(view: Sheet, words: str, kind: str = "") -> tuple[Sequence[Plant], int]:
    """Plants of the table whose names or native region hold every word, of one kind or of all; and how many."""
    found = found_plants(view.basis, words, kind)
    return found[:SHOWN], len(found)


def sizes_of(view: Sheet, row: Planting) -> Sequence[PlantSize]:
    """The sizes in which the plant of a row is bought."""
    plant = view.basis.plants.get(row.species)
    return sizes_for(plant.kind, view.basis.plant_sizes) if plant else ()


def priced_as(view: Sheet, row: Planting) -> str:
    """What stands in for the price of a row's plant; empty where the book has it by name."""
    by = stand_in(view.opened.book or view.basis, (row.species, row.size, row.variety))
    return by.title if by else ""


def row_of(job: Job, planting_id: UUID) -> Planting:
    """A row of a list. Raises: NotFound."""
    found = next((one for one in job.plantings if one.id == planting_id), None)
    if found is None:
        raise NotFound("This plant is not on the list (any more). Nothing was changed.")
    return found


def add_plant(office: Office, job_id: UUID, values: Mapping[str, Any], order: Order) -> UUID:
    """A species at the end of a bed's list, in its usual size, at the spacing of the table. Returns the row's id.

    Raises: BadValue for a species that the table has not; NotFound for a bed that is not there.
    """
    opened = jobs.open_job(office, job_id)
    plant = opened.basis.plants.get(values["species"])
    if plant is None:
        raise BadValue("The plant table has no such plant. Choose one of the list.", field="species")
    if all(one.id != values["bed"] for one in opened.job.alternatives):
        raise NotFound("This bed is not there (any more). Nothing was changed.")
    last = max((one.position for one in opened.job.plantings), default=-1)
    size = usual_size(plant.kind, opened.basis.plant_sizes)
    row = Planting(
        id=uuid4(),
        alternative_id=values["bed"],
        species=plant.key,
        size=size,
        under=plant.kind == "bulb",
        position=last + 1,
    )
    jobs.save(office, job_id, (made("planting", row),), replace(order, what=f"Plant: {plant.botanical}"[:60]))
    return row.id


def change_plant(office: Office, job_id: UUID, planting_id: UUID, values: Mapping[str, Any], order: Order) -> Applied:
    """Fields of a row. Raises: BadValue for a size or spacing in which it is not planted."""
    opened = jobs.open_job(office, job_id)
    row = row_of(opened.job, planting_id)
    plant = opened.basis.plants.get(row.species)
    size = opened.basis.plant_sizes.get(values.get("size", row.size))
    if plant and (size is None or plant.kind not in size.materials):
        raise BadValue(f"{plant.botanical} is not bought in that size. Choose one of the list.", field="size")
    spacing = values.get("spacing", row.spacing)
    if spacing is not None and not LEAST - 1e-9 <= spacing <= MOST:
        raise BadValue(f"{spacing * 12:.4g} in was understood; plants stand 2 in to 60 ft apart.", field="spacing")
    edit = changed("planting", planting_id, opened.version_read(order, "planting", planting_id), values)
    name = plant.botanical if plant else row.species
    return jobs.save(office, job_id, (edit,), replace(order, what=f"Plant: {name}"[:60]))


def price_plant(office: Office, job_id: UUID, planting_id: UUID, values: Mapping[str, Any], order: Order) -> None:
    """A price of its own for the plant of a row, in the firm's book: from then on every job goes by it."""
    row = row_of(jobs.open_job(office, job_id).job, planting_id)
    key = material_key(row.species, row.size, row.variety)
    version = own(office, "price").version("price", key)
    set_price(office, key, version, {"unit_price": values["unit_price"]}, order)


def remove_plant(office: Office, job_id: UUID, planting_id: UUID, order: Order) -> Applied:
    """A row off its list; undo brings it back."""
    opened = jobs.open_job(office, job_id)
    row = row_of(opened.job, planting_id)
    plant = opened.basis.plants.get(row.species)
    what = f"{plant.botanical if plant else row.species} taken off the list"[:60]
    return jobs.save(office, job_id, jobs.removal(opened, "planting", planting_id), replace(order, what=what))
