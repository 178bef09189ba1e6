"""Copy a zone into another job, or a whole job into a new one, at today's prices; what is different is listed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any
from uuid import UUID, uuid4, uuid5

from app.domain.change import Edit
from app.domain.costing.estimate import Estimate
from app.domain.errors import Refused
from app.domain.job import JOB_THINGS, Edge, Job, PlaceKind, Work, Zone
from app.domain.plan.edges import GROUND, HOUSE, LOT
from app.services import jobs
from app.services.editions import is_newer
from app.services.held_editions import name_in
from app.services.home import home
from app.services.jobs import NewJob, OpenJob, Order, made, removal
from app.services.office import Office
from app.services.sheets import sheet
from app.services.zones import find, next_letter, next_position

# what of a job is designed and can be built in another yard; the yard itself, its client and what they chose stay
DESIGNED = (
    "phase", "need", "zone", "alternative", "run", "feature", "edge", "allowance", "unit_price", "payment", "work",
    "planting", "option", "package",
)  # fmt: skip
DATES: Mapping[str, Any] = {"start": None, "done": None, "firm_until": None}

UNDECIDED: Mapping[str, Any] = {"initials": "", "decided_on": None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """What came of a copy: where it is now, what is different, and the price of the same thing there and here."""

    job_id: UUID
    focus: str
    notes: tuple[str, ...]
    price_before: int
    price_now: int


def destinations(office: Office, but: UUID) -> tuple[tuple[str, str], ...]:
    """The open jobs a zone can be copied into."""
    lines = home(office).lines
    return tuple((line.job_id, f"{line.client}, {line.title}") for line in lines if line.job_id != str(but))


def copy_zone(office: Office, job_id: UUID, zone_id: UUID, to_job: UUID, order: Order) -> Copied:
    """Copy a zone with its ways, works, lines, things and decided edges into another job, in one change.

    Raises: NotFound for a zone or a job that is gone; Refused for the zone's own job.
    """
    if to_job == job_id:
        raise Refused("This zone is in that job already. Choose another job, or try another way for the zone.")
    source, target = jobs.open_job(office, job_id), jobs.open_job(office, to_job)
    zone: Zone = find(source.job.zones, zone_id, "zone")
    things = _of_zone(source.job, zone)
    ids = {thing.id: uuid4() for _, thing in things}
    phase = target.job.phases[0].id if target.job.phases else None
    copies = [(kind, _copied(thing, ids, phase)) for kind, thing in things]
    copies = [(kind, _fitted(office, kind, thing, target)) for kind, thing in copies]
    edits = tuple(made(kind, thing) for kind, thing in copies)
    jobs.save(office, to_job, edits, replace(order, what=f"Copied: {zone.title}"))
    before, now = sheet(office, job_id).estimate, sheet(office, to_job).estimate
    return Copied(
        job_id=to_job,
        focus=f"zone:{ids[zone.id]}",
        notes=_differences(office, source, target, [thing for kind, thing in things if kind == "work"]),
        price_before=before.price_by_zone.get(str(zone.id), 0),
        price_now=now.price_by_zone.get(str(ids[zone.id]), 0),
    )


def _of_zone(job: Job, zone: Zone) -> list[tuple[str, Any]]:
    """A zone and all that lies in it; edges only to what every yard has."""
    ways = [one for one in job.alternatives if one.zone_id == zone.id]
    lines = [one for one in job.runs if one.zone_id == zone.id]
    things = [one for one in job.features if one.zone_id == zone.id]
    edges = [one for one in job.edges if one.zone_id == zone.id and one.neighbor in {HOUSE, LOT, GROUND, "wall"}]
    standing: list[Any] = [*ways, *lines, *things, *edges]
    places = {one.id for one in standing}
    works = [one for one in job.works if one.place_id in places]
    plants = [one for one in job.plantings if one.alternative_id in places]
    listed: Mapping[str, list[Any]] = {
        "alternative": ways,
        "run": lines,
        "feature": things,
        "edge": edges,
        "work": works,
        "planting": plants,
    }
    return [("zone", zone), *[(kind, one) for kind, found in listed.items() for one in found]]


def _copied(thing: Any, ids: Mapping[UUID, UUID], phase: UUID | None) -> Any:
    """A thing with a new id that names the copies of what it named; what was not copied is not named."""
    fresh: dict[str, Any] = {"id": ids[thing.id]}
    for field in fields(thing):
        value = getattr(thing, field.name)
        if field.name.endswith("_ids"):
            fresh[field.name] = tuple(ids[one] for one in value if one in ids)
        elif field.name == "phase_id" and value is not None:
            fresh["phase_id"] = ids.get(value, phase)
        elif field.name.endswith("_id") and value is not None:
            fresh[field.name] = ids.get(value)
    if isinstance(thing, Edge) and (other := _id(thing.neighbor)) is not None:
        fresh["neighbor"] = str(ids[other])
    return replace(thing, **fresh)


def _id(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def _fitted(office: Office, kind: str, thing: Any, target: OpenJob) -> Any:
    """A copy as the job it goes into would have made it: its letter, its place in the list, its editions."""
    if kind == "zone":
        return replace(thing, letter=next_letter(target.job), position=next_position(target.job.zones))
    if kind in {"run", "feature"}:
        own = getattr(target.job, JOB_THINGS[kind][1])
        return replace(thing, position=next_position(own) + thing.position)
    return replace(thing, assembly_hash=name_in(office, target.basis, thing.assembly)) if kind == "work" else thing


def copy_job(office: Office, job_id: UUID, told: NewJob, order: Order) -> Copied:
    """Copy what is designed and offered in a job into a new one for another client; the yard is still to be seen.

    Two changes: the new job, then all of the design at once.
    Raises: NotFound.
    """
    source = jobs.open_job(office, job_id)
    new_id = jobs.begin_job(office, replace(told, title=told.title or source.job.head.title), order)
    target = jobs.open_job(office, new_id)
    things = [(kind, thing) for kind in DESIGNED for thing in getattr(source.job, JOB_THINGS[kind][1])]
    things = [(kind, thing) for kind, thing in things if not _of_the_yard(thing)]
    ids = {thing.id: uuid4() for _, thing in things}
    copies = [(kind, _undated(kind, _copied(thing, ids, None))) for kind, thing in things]
    edits = [made(kind, _edition(office, kind, thing, target)) for kind, thing in copies]
    begun: list[Edit] = [edit for work in target.job.works for edit in removal(target, "work", work.id)]
    again = replace(order, change_id=uuid5(order.change_id, "design"), what=f"Copied from {source.job.head.title}")
    jobs.save(office, new_id, (*begun, *edits), again)
    before, now = sheet(office, job_id).estimate, sheet(office, new_id).estimate
    works = [thing for kind, thing in things if kind == "work"]
    left = ("Not copied: the site, what stands there today, photos, what the client chose, dates, decisions to go on.",)
    return Copied(
        job_id=new_id,
        focus="",
        notes=(*left, *_differences(office, source, target, works)),
        price_before=_designed_price(before, source.job),
        price_now=now.price_cents,
    )


def _of_the_yard(thing: Any) -> bool:
    return isinstance(thing, Work) and thing.place is PlaceKind.EXISTING


def _undated(kind: str, thing: Any) -> Any:
    fresh = {"phase": DATES, "option": UNDECIDED}.get(kind)
    return replace(thing, **fresh) if fresh else thing


def _edition(office: Office, kind: str, thing: Any, target: OpenJob) -> Any:
    return replace(thing, assembly_hash=name_in(office, target.basis, thing.assembly)) if kind == "work" else thing


def _designed_price(worked: Estimate, job: Job) -> int:
    """The price of a job without what only its own yard asks for."""
    yard = sum(worked.price_by_work.get(str(work.id), 0) for work in job.works if _of_the_yard(work))
    return worked.price_cents - yard


def _differences(office: Office, source: OpenJob, target: OpenJob, works: Iterable[Work]) -> tuple[str, ...]:
    """What is not the same in the copy: recipes that are gone or newer, finishes that are gone, prices that moved."""
    notes: dict[str, None] = {}
    for work in works:
        known = target.basis.assemblies.get(work.assembly)
        if known is None:
            notes[f"“{work.title or work.assembly}”: the library has no such recipe any more, so it is not priced."] = (
                None
            )
        elif work.assembly_hash and is_newer(office, target.basis, work.assembly, work.assembly_hash):
            notes[f"“{known.title}” is a newer edition of the recipe."] = None
        for role, material in work.finishes.items():
            notes.update(dict.fromkeys(_material_notes(source, target, role, material)))
    return tuple(notes)


def _material_notes(source: OpenJob, target: OpenJob, role: str, key: str) -> Iterable[str]:
    material = target.basis.materials.get(key)
    if material is None:
        yield f"{role.capitalize()}: “{key}” is not in the book any more. Choose another."
        return
    there, here = source.basis.prices.get(key), target.basis.prices.get(key)
    if here is None:
        yield f"{material.title} has no price yet."
    elif there is not None and there.unit_price != here.unit_price:
        yield f"{material.title} costs {here.unit_price:f} now, {there.unit_price:f} there, per {material.buy}."
