"""Plants placed one by one on the plan: set by a tap, dragged, typed, taken out; each is one change of its row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from app.domain.errors import BadValue, NotFound
from app.domain.job import Job, Planting
from app.domain.plan.arcs import Point
from app.domain.takeoff.plant_letters import plant_letters
from app.domain.takeoff.planted import lists_of
from app.services import jobs
from app.services.beds import row_of
from app.services.jobs import OpenJob, Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet

FOCUS = "plant:"
PLACED = "placed"
MOST_PLACES = 200  # plants of a row that are placed one by one
GONE = "This plant is not there (any more). Nothing was changed."


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantNote:
    """A plant in focus: its row, which of it, where it stands, what it is called."""

    row: Planting
    place: int
    at: Point
    title: str
    common: str
    spread: float  # ft, as it grows

    @property
    def key(self) -> str:
        """What its margin note goes by."""
        return key_of(self.row.id, self.place)


def key_of(row_id: UUID, place: int) -> str:
    """What the margin note of a plant goes by: its row and its place in it."""
    return f"{FOCUS}{row_id}:{place}"


def rows_to_place(view: Sheet) -> Sequence[tuple[str, str]]:
    """The rows a plant may be placed of (id, words), beds in the order of the plan; a species of a bed once."""
    letters, lists = plant_letters(view.job, view.basis), lists_of(view.job)
    found: list[tuple[str, str]] = []
    for zone in view.job.zones:
        way = view.job.chosen(zone)
        seen: set[tuple[str, str, str]] = set()
        for row in lists.get(way.id, ()) if way and way.outline else ():
            if (what := (row.species, row.size, row.variety)) not in seen:
                seen.add(what)
                plant = view.basis.plants.get(row.species)
                name = f"{letters.get(row.species, '')} {plant.botanical if plant else row.species}".strip()
                found.append((str(row.id), f"{zone.letter} · {name}{f' “{row.variety}”' if row.variety else ''}"))
    return found


def plant_note(view: Sheet, focus: str) -> PlantNote | None:
    """The plant that is in focus."""
    parts = focus.split(":")
    if not focus.startswith(FOCUS) or len(parts) != 3 or not parts[2].isdecimal() or len(parts[2]) > 4:
        return None
    row = next((one for one in view.job.plantings if str(one.id) == parts[1]), None)
    place = int(parts[2])
    if row is None or row.pattern != PLACED or place >= len(row.points):
        return None
    plant = view.basis.plants.get(row.species)
    return PlantNote(
        row=row,
        place=place,
        at=row.points[place],
        title=plant.botanical if plant else row.species,
        common=plant.common if plant else "",
        spread=sum(plant.spread) / 2 if plant else 0.0,
    )


def place_plant(office: Office, job_id: UUID, row_id: UUID, at: Point, order: Order) -> str:
    """One more plant of a row's species at a point [ft]; returns what its margin note goes by.

    A row that fills its bed is left as it is: the plant goes into the row of the same species, size and variety that
    is placed one by one, which is made where there is none. Raises: NotFound; BadValue where a row is full.
    """
    opened = jobs.open_job(office, job_id)
    row = _to_place_in(opened.job, row_of(opened.job, row_id))
    what = f"Placed {_name(opened, row)}"[:60]
    if row.pattern != PLACED:
        new = _beside(opened.job, row, at, order)
        jobs.save(office, job_id, (made("planting", new),), replace(order, what=what))
        return key_of(new.id, 0)
    if jobs.is_saved(office, order.change_id):  # sent again: it stands there already
        return key_of(row.id, max(len(row.points) - 1, 0))
    if len(row.points) >= MOST_PLACES:
        raise BadValue(f"{MOST_PLACES} plants of this row are placed; that is all it takes. Begin another row.")
    _put(office, job_id, opened, row, (*row.points, at), replace(order, what=what))
    return key_of(row.id, len(row.points))


def _to_place_in(job: Job, row: Planting) -> Planting:
    same = (row.alternative_id, row.species, row.size, row.variety)
    placed = (one for one in job.plantings if one.pattern == PLACED)
    found = (one for one in placed if (one.alternative_id, one.species, one.size, one.variety) == same)
    return row if row.pattern == PLACED else next(found, row)


def _beside(job: Job, row: Planting, at: Point, order: Order) -> Planting:
    last = max((one.position for one in job.plantings), default=-1)
    return replace(
        row, id=uuid5(order.change_id, "planting"), pattern=PLACED, points=(at,), under=False, position=last + 1
    )


def move_plant(
    office: Office, job_id: UUID, row_id: UUID, place: int, values: Mapping[str, Any], version: int, order: Order
) -> None:
    """A plant dragged or typed to another place: `x`, `y` [ft]. Raises: NotFound, Stale."""
    opened = jobs.open_job(office, job_id)
    row = _row_with(opened.job, row_id, place)
    at = (values["x"], values["y"])
    points = (*row.points[:place], at, *row.points[place + 1 :])
    _put(office, job_id, opened, row, points, replace(order, what=f"Moved {_name(opened, row)}"[:60]), version)


def take_plant_out(office: Office, job_id: UUID, row_id: UUID, place: int, version: int, order: Order) -> None:
    """A plant taken out of its row; with the last one the row goes. Raises: NotFound, Stale."""
    opened = jobs.open_job(office, job_id)
    row = _row_with(opened.job, row_id, place)
    told = replace(order, what=f"Taken out: {_name(opened, row)}"[:60])
    if len(row.points) == 1:
        jobs.save(office, job_id, jobs.removal(opened, "planting", row_id), told)
        return
    _put(office, job_id, opened, row, (*row.points[:place], *row.points[place + 1 :]), told, version)


def _row_with(job: Job, row_id: UUID, place: int) -> Planting:
    row = row_of(job, row_id)
    if row.pattern != PLACED or not 0 <= place < len(row.points):
        raise NotFound(GONE)
    return row


def _put(
    office: Office,
    job_id: UUID,
    opened: OpenJob,
    row: Planting,
    points: tuple[Point, ...],
    order: Order,
    version: int | None = None,
) -> None:
    at = opened.version("planting", row.id) if version is None else version
    jobs.save(office, job_id, (changed("planting", row.id, at, {"points": points}),), order)


def _name(opened: OpenJob, row: Planting) -> str:
    plant = opened.basis.plants.get(row.species)
    return plant.botanical if plant else row.species
