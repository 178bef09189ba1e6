"""What is drawn by hand on the plan: a shape changed, a whole thing moved; each is one change, checked here again."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Job
from app.domain.plan.measures import moved
from app.domain.plan.outline import Outline
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.zones import find

# kind of thing → the fields that a hand on the plan may set
DRAWN_FIELDS: Mapping[str, frozenset[str]] = {
    "alternative": frozenset({"outline", "measured"}),
    "existing": frozenset({"outline"}),
    "site": frozenset({"lot", "house"}),
    "run": frozenset({"points", "measured"}),
    "feature": frozenset({"x", "y"}),
}


def redraw(
    office: Office, job_id: UUID, kind: str, thing_id: UUID, fields: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """Set what was drawn of a thing: its outline, its points or where it stands.

    Raises: NotFound, Stale, BadValue where nothing was drawn.
    """
    job = jobs.open_job(office, job_id).job
    thing = _find(job, kind, thing_id)
    drawn = {name: value for name, value in fields.items() if name in DRAWN_FIELDS[kind] and value is not None}
    if not drawn:
        raise BadValue("Nothing was drawn. Draw it again.", field="drawn")
    edit = changed(kind, thing_id, version, drawn)
    return jobs.save(office, job_id, (edit,), replace(order, what=f"Shape of {_name(job, kind, thing)}"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """How far a thing is moved [ft], and which part of a site: lot or house."""

    east: float = 0.0
    north: float = 0.0
    part: str = ""


def move_thing(
    office: Office, job_id: UUID, kind: str, thing_id: UUID, shift: Shift, version: int, order: Order
) -> Applied:
    """Move a whole thing; its lengths, and how it was typed, stay.

    Raises: NotFound, Stale, BadValue where it does not lie on the plan yet.
    """
    job = jobs.open_job(office, job_id).job
    thing = _find(job, kind, thing_id)
    edit = changed(kind, thing_id, version, _moved_fields(thing, shift))
    return jobs.save(office, job_id, (edit,), replace(order, what=f"Moved {_name(job, kind, thing, shift.part)}"))


def _moved_fields(thing: Any, shift: Shift) -> dict[str, Any]:
    name = shift.part or "outline"
    outline = getattr(thing, name, None)
    if isinstance(outline, Outline):
        return {name: moved(outline, shift.east, shift.north)}
    points = getattr(thing, "points", ())
    if points:
        return {"points": tuple((x + shift.east, y + shift.north) for x, y in points)}
    if getattr(thing, "x", None) is None or getattr(thing, "y", None) is None:
        raise BadValue("This does not lie on the plan yet. Draw it first.", field="drawn")
    return {"x": thing.x + shift.east, "y": thing.y + shift.north}


def _find(job: Job, kind: str, thing_id: UUID) -> Any:
    if kind == "site":
        return find((job.site,), thing_id, "site")
    return find(getattr(job, JOB_THINGS[kind][1]), thing_id, kind)


def _name(job: Job, kind: str, thing: Any, part: str = "") -> str:
    if kind == "site":
        return f"the {part}" if part else "house or lot"
    if kind == "alternative":
        zone = next((one for one in job.zones if one.id == thing.zone_id), None)
        return f"{zone.letter} {zone.title}".strip() if zone else "a zone"
    return thing.title or kind
