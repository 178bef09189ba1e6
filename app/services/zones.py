"""Zones of the plan: make one, outline it, place works on it, choose finishes, keep and take alternatives."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid4, uuid5

from app.domain.basis import Assembly, Basis
from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.errors import BadValue, NotFound, UnknownAssembly
from app.domain.job import Alternative, Job, Measured, PlaceKind, Work, Zone, ZoneKind
from app.domain.job.letters import first_free
from app.domain.plan.against import put_against
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import placing
from app.domain.takeoff.edition import edition_name
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import OpenJob, Order, changed, made
from app.services.office import Office


@dataclass(frozen=True, slots=True, kw_only=True)
class NewZone:
    """What is told of a zone when it is made."""

    title: str
    kind: str = ZoneKind.OTHER
    words: str = ""
    outline: Outline | None = None
    measured: str = Measured.SKETCH
    assembly: str = ""
    against: str = ""  # "house" or another zone's id: where it lies; empty: where the outline says
    side: str = ""


def add_zone(office: Office, job_id: UUID, new: NewZone, order: Order) -> UUID:
    """Make a zone with one alternative and, where an assembly is named, its first work; returns the zone's id.

    Its id comes from the change's, so that a change sent again answers with the same zone. Raises: UnknownAssembly.
    """
    opened = jobs.open_job(office, job_id)
    job = opened.job
    alternative = Alternative(
        id=uuid5(order.change_id, "way"),
        zone_id=uuid5(order.change_id, "zone"),
        title="As drawn",
        outline=placed(job, new.outline, new.against, new.side),
        measured=Measured(new.measured),
    )
    zone = Zone(
        id=alternative.zone_id,
        letter=next_letter(job),
        title=new.title,
        kind=ZoneKind(new.kind),
        words=new.words,
        chosen_id=alternative.id,
        phase_id=job.phases[0].id if job.phases else None,
        position=next_position(job.zones),
    )
    edits = [made("zone", zone), made("alternative", alternative)]
    if new.assembly:
        edits.append(made("work", new_work(opened, PlaceKind.ALTERNATIVE, alternative.id, new.assembly)))
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"Zone {zone.letter} {zone.title}"))
    return zone.id


def placed(job: Job, outline: Outline | None, against: str, side: str) -> Outline | None:
    """An outline where it lies: as typed, or on one side of the house or another zone; its own place moves it on.

    Raises: BadValue where what it lies against has no outline.
    """
    if outline is None or not against:
        return outline
    zone = next((one for one in job.zones if str(one.id) == against), None)
    chosen = job.chosen(zone) if zone else None
    other = job.site.house if against == "house" else chosen.outline if chosen else None
    if other is None:
        raise BadValue("What it should lie against has no outline yet. Type that first.", field="outline.shape")
    right, up = (0.0, 0.0) if outline.shape == "points" else placing(outline)[0]
    return put_against(outline, other, side or "right", right=right, up=up)


def outline_zone(
    office: Office, job_id: UUID, alternative_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """Change the outline of an alternative and how well it is known; `against` and `side` say where it lies.

    Raises: NotFound, BadValue, Stale.
    """
    opened = jobs.open_job(office, job_id)
    find(opened.job.alternatives, alternative_id, "way to do a zone")
    fields = {name: value for name, value in values.items() if name not in {"against", "side"}}
    if "outline" in fields:
        fields["outline"] = placed(opened.job, fields["outline"], values.get("against", ""), values.get("side", ""))
    edit = changed("alternative", alternative_id, version, fields)
    return jobs.save(office, job_id, (edit,), replace(order, what="Outline"))


def next_letter(job: Job) -> str:
    """The first letter that no zone of the job has: A to Z, then AA, AB and so on."""
    return first_free({zone.letter for zone in job.zones})


def next_position(things: tuple[Any, ...]) -> int:
    """The position after the last."""
    return max((thing.position for thing in things), default=-1) + 1


def new_work(opened: OpenJob, place: PlaceKind, place_id: UUID | None, assembly: str) -> Work:
    """A work of an assembly of the basis, by key and hash, after the other works of its place.

    Raises: UnknownAssembly.
    """
    assembly_of(opened.basis, assembly)
    there = tuple(work for work in opened.job.works if (work.place, work.place_id) == (place, place_id))
    return Work(
        id=uuid4(),
        place=place,
        place_id=place_id,
        assembly=assembly,
        assembly_hash=edition_name(opened.basis.assemblies, assembly),
        position=next_position(there),
    )


def assembly_of(basis: Basis, key: str) -> Assembly:
    """An assembly by key.

    Raises: UnknownAssembly.
    """
    found = basis.assemblies.get(key)
    if found is None:
        raise UnknownAssembly(f"The library has no recipe “{key}”. Choose one of the list.", field="assembly")
    return found


def add_work(
    office: Office, job_id: UUID, place: PlaceKind, place_id: UUID | None, assembly: str, order: Order
) -> Applied:
    """Place an assembly somewhere.

    Raises: UnknownAssembly; BadValue where the assembly is measured by another kind of place.
    """
    opened = jobs.open_job(office, job_id)
    measures = {"alternative": "zone"}.get(place.value, place.value)
    found = assembly_of(opened.basis, assembly)
    if found.measures != measures:
        raise BadValue(
            f"“{found.title}” is measured by {found.measures}, not by {measures}. Choose another.", field="assembly"
        )
    work = new_work(opened, place, place_id, assembly)
    return jobs.save(office, job_id, (made("work", work),), replace(order, what=f"Added {found.title}"))


def set_finish(office: Office, job_id: UUID, work_id: UUID, role: str, material: str, order: Order) -> Applied:
    """Choose what fills a role of a work; an empty material goes back to the assembly's own.

    Raises: NotFound, BadValue where the material is not of that role.
    """
    opened = jobs.open_job(office, job_id)
    work = find(opened.job.works, work_id, "piece of work")
    known = opened.basis.materials.get(material)
    if material and (known is None or known.role != role):
        raise BadValue("That material cannot be used there. Choose one of the list.", field="material")
    finishes = {**work.finishes, role: material} if material else without(work.finishes, role)
    words = f"{role.capitalize()}: {known.title if known else 'as the recipe has it'}"
    edit = changed("work", work.id, opened.version_read(order, "work", work.id), {"finishes": finishes})
    return jobs.save(office, job_id, (edit,), replace(order, what=words))


def _work_edit(opened: OpenJob, work: Work, **fields: Any) -> Edit:
    return changed("work", work.id, opened.version("work", work.id), fields)


def copy_alternative(office: Office, job_id: UUID, zone_id: UUID, title: str, order: Order) -> Applied:
    """Add another way to do a zone, begun as a copy of the chosen one with its works.

    Raises: NotFound.
    """
    opened = jobs.open_job(office, job_id)
    zone = find(opened.job.zones, zone_id, "zone")
    from_one = opened.job.chosen(zone)
    if from_one is None:
        raise NotFound("This zone has no alternative to copy.")
    new = replace(from_one, id=uuid4(), title=title or "Another way", position=from_one.position + 1)
    works = [
        replace(work, id=uuid4(), place_id=new.id)
        for work in opened.job.works
        if work.place is PlaceKind.ALTERNATIVE and work.place_id == from_one.id
    ]
    plants = [
        replace(row, id=uuid4(), alternative_id=new.id)
        for row in opened.job.plantings
        if row.alternative_id == from_one.id
    ]
    things = [("alternative", new), *[("work", one) for one in works], *[("planting", one) for one in plants]]
    edits = tuple(made(kind, one) for kind, one in things)
    return jobs.save(office, job_id, edits, replace(order, what=f"Another way for {zone.title}"))


def find(things: tuple[Any, ...], thing_id: object, what: str) -> Any:
    """A thing of the job by id.

    Raises: NotFound.
    """
    wanted = str(thing_id)
    for thing in things:
        if thing.id is thing_id or str(thing.id) == wanted:
            return thing
    raise NotFound(f"This {what} is not there (any more). Nothing was changed.")


def without(mapping: Mapping[str, str], name: str) -> dict[str, str]:
    """A mapping with one name left out."""
    return {key: value for key, value in mapping.items() if key != name}


def plain_outline(outline: Outline | None) -> Any:
    """An outline as a change holds it."""
    return to_plain(outline)
