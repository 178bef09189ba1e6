"""Things on the plan moved, turned, mirrored or copied: one of them, or the whole plan at once, as one change."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Alternative, Job, PlaceKind, Site, Zone
from app.domain.plan.placing import Placing
from app.services import jobs
from app.services.drawn_shapes import chosen_of, title_of
from app.services.edges_along import works_like
from app.services.jobs import OpenJob, Order, changed, made
from app.services.office import Office
from app.services.reshaping import Reshaped
from app.services.zones import find, next_letter, next_position

# kinds of things that lie on the plan; a zone is told by its alternatives, a site by its lot, house and doors
LYING = (
    "alternative",
    "run",
    "feature",
    "existing",
    "edge",
    "work",
    "planting",
    "mark",
    "dimension",
    "note",
    "underlay",
    "easement",
)
PLACED = ("zone", "run", "feature", "existing", "mark", "dimension", "note", "easement", "lot", "house")
COPIED = ("zone", "run", "feature", "existing", "dimension", "note")
WORKS_ON: Mapping[str, PlaceKind] = {
    "run": PlaceKind.RUN,
    "feature": PlaceKind.FEATURE,
    "existing": PlaceKind.EXISTING,
}


def place_thing(
    office: Office, job_id: UUID, kind: str, thing_id: UUID, placing: Placing, version: int | None, order: Order
) -> Reshaped:
    """Move, turn or mirror one thing. With a zone go the lines and things that belong to it, and how its units lie.

    Raises: NotFound, Stale, BadValue where it does not lie on the plan yet.
    """
    _somewhere_else(placing)
    opened = jobs.open_job(office, job_id)
    thing_kind, thing = _thing(opened.job, kind, thing_id)
    focus = f"{kind}:{thing_id}"
    if jobs.is_saved(office, order.change_id):
        return Reshaped(focus=focus, said="")
    fields = placed_fields(thing, placing)
    if kind in {"lot", "house"}:
        own = {"lot", "lot_lines"} if kind == "lot" else {kind}
        fields = {name: value for name, value in fields.items() if name in own}
    title = title_of(opened.job, kind, thing)
    if not fields:
        raise BadValue(f"{title} does not lie on the plan yet. Type or draw where it lies first.", field="east")
    read_at = opened.version(thing_kind, thing.id) if version is None else version
    edits = [changed(thing_kind, thing.id, read_at, fields)]
    if kind == "zone":
        edits += _along(opened, thing, placing)
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"{_did(placing)} {title}"))
    return Reshaped(focus=focus, said="")


def _along(opened: OpenJob, way: Alternative, placing: Placing) -> Iterator[Edit]:
    """What goes along with a zone."""
    job = opened.job
    there: list[tuple[str, Any]] = [("work", work) for work in job.works if work.place_id == way.id]
    there += [("planting", row) for row in job.plantings if row.alternative_id == way.id]
    there += [("run", run) for run in job.runs if run.zone_id == way.zone_id]
    there += [("feature", feature) for feature in job.features if feature.zone_id == way.zone_id]
    for kind, thing in there:
        fields = placed_fields(thing, placing)
        if fields:
            yield changed(kind, thing.id, opened.version(kind, thing.id), fields)


def copy_thing(office: Office, job_id: UUID, kind: str, thing_id: UUID, placing: Placing, order: Order) -> Reshaped:
    """A second one of a thing, placed elsewhere, built as the first is.

    Raises: NotFound, BadValue for what there is one of only.
    """
    if kind not in COPIED:
        raise BadValue("There is one of these only: it can be moved, not copied.", field="how")
    _somewhere_else(placing)
    opened = jobs.open_job(office, job_id)
    _, thing = _thing(opened.job, kind, thing_id)
    new_id = uuid5(order.change_id, kind)
    if jobs.is_saved(office, order.change_id):
        return Reshaped(focus=f"{kind}:{new_id}", said="")
    title = title_of(opened.job, kind, thing)
    edits = (
        _zone_copy(opened, thing, placing, new_id) if kind == "zone" else _copy(opened, kind, thing, placing, new_id)
    )
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"Copied {title}"))
    return Reshaped(focus=f"{kind}:{new_id}", said="")


def _zone_copy(opened: OpenJob, way: Alternative, placing: Placing, new_id: UUID) -> Iterator[Edit]:
    job = opened.job
    zone: Zone = find(job.zones, way.zone_id, "zone")
    copy = replace(way, id=uuid5(new_id, "way"), zone_id=new_id, position=0)
    copy = replace(copy, **placed_fields(copy, placing))
    new = replace(zone, id=new_id, letter=next_letter(job), chosen_id=copy.id, position=next_position(job.zones))
    yield made("zone", new)
    yield made("alternative", copy)
    for work in works_like(job, PlaceKind.ALTERNATIVE, way.id, copy.id):
        yield made("work", replace(work, **placed_fields(work, placing)))
    for row in job.plantings:
        if row.alternative_id == way.id:
            again = replace(row, id=uuid5(new_id, str(row.id)), alternative_id=copy.id)
            yield made("planting", replace(again, **placed_fields(again, placing)))


def _copy(opened: OpenJob, kind: str, thing: Any, placing: Placing, new_id: UUID) -> Iterator[Edit]:
    own = getattr(opened.job, JOB_THINGS[kind][1])
    copy = replace(thing, id=new_id, position=next_position(own), **placed_fields(thing, placing))
    yield made(kind, copy)
    if kind in WORKS_ON:
        yield from (made("work", work) for work in works_like(opened.job, WORKS_ON[kind], thing.id, new_id))


def place_all(office: Office, job_id: UUID, placing: Placing, order: Order) -> Reshaped:
    """Move or turn the whole plan: every thing on it, and north with it. Nothing that is measured changes.

    Raises: BadValue for a mirror: a yard is not the other way round.
    """
    if placing.mirror is not None:
        raise BadValue("The whole plan can be moved and turned, not mirrored: the yard is not the other way round.")
    _somewhere_else(placing)
    opened = jobs.open_job(office, job_id)
    if jobs.is_saved(office, order.change_id):
        return Reshaped(focus="", said="")
    edits = list(_everything(opened, placing))
    if not edits:
        raise BadValue("Nothing is drawn yet that could be moved.", field="east")
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"{_did(placing)} the whole plan"))
    return Reshaped(focus="", said="")


def _somewhere_else(placing: Placing) -> None:
    if not (placing.east or placing.north or placing.turn or placing.mirror):
        raise BadValue("Type how far it goes, or how it is turned.", field="east")


def _everything(opened: OpenJob, placing: Placing) -> Iterator[Edit]:
    job = opened.job
    things: list[tuple[str, Any]] = [("site", job.site)]
    things += [(kind, thing) for kind in LYING for thing in getattr(job, JOB_THINGS[kind][1])]
    for kind, thing in things:
        fields = placed_fields(thing, placing)
        if isinstance(thing, Site) and placing.turn:
            fields["north"] = (thing.north - placing.turn) % 360
        if getattr(thing, "moves_to", None) is not None:  # a head moved by itself leaves where it goes to
            fields["moves_to"] = placing.point(thing.moves_to)
        if fields:
            yield changed(kind, thing.id, opened.version(kind, thing.id), fields)


def placed_fields(thing: Any, placing: Placing) -> dict[str, Any]:
    """The fields of a thing that say where it lies, placed elsewhere; none where it does not lie on the plan."""
    fields: dict[str, Any] = {}
    for name in ("outline", "lot", "house"):
        if getattr(thing, name, None) is not None:
            fields[name] = placing.outline(getattr(thing, name))
    if getattr(thing, "points", ()):
        fields["points"] = placing.points(thing.points)
        if placing.mirror is not None and getattr(thing, "rises", None):
            fields["rises"] = placing.rises(thing.rises)
    for name in ("start", "end", "to", "level_at", "at", "way_in"):
        if getattr(thing, name, None) is not None:
            fields[name] = placing.point(getattr(thing, name))
    if getattr(thing, "x", None) is not None and getattr(thing, "y", None) is not None:
        fields["x"], fields["y"] = placing.point((thing.x, thing.y))
    for name in ("fall_bearing", "faces"):
        if getattr(thing, name, None) is not None:
            fields[name] = placing.bearing(getattr(thing, name))
    return {**fields, **_of_its_kind(thing, placing)}


def _of_its_kind(thing: Any, placing: Placing) -> dict[str, Any]:
    """What only one kind of thing has: doors of a site, how a picture lies, how units are laid."""
    if getattr(thing, "openings", ()):
        placed = [(one, placing.point((one.x, one.y))) for one in thing.openings]
        doors = tuple(replace(one, x=x, y=y) for one, (x, y) in placed)
        return {"openings": doors, **_named_lines(thing, placing)}
    if getattr(thing, "lot_lines", ()):
        return _named_lines(thing, placing)
    if hasattr(thing, "opacity"):
        return {"turn": (thing.turn - placing.turn) % 360} if placing.turn else {}
    if hasattr(thing, "offset") and placing.mirror is not None:
        return {"offset": -thing.offset}
    laying = getattr(thing, "laying", None)
    if laying is None:
        return {}
    start = placing.point(laying.start) if laying.start is not None else None
    # courses run counterclockwise from the right; without a direction of their own they follow an edge that goes along
    angle = None if laying.angle is None else (90 - placing.bearing(90 - laying.angle)) % 360
    kept = replace(laying, start=start, angle=angle, along=tuple(placing.point(one) for one in laying.along))
    return {} if kept == laying else {"laying": kept}


def _named_lines(site: Site, placing: Placing) -> dict[str, Any]:
    """The points by which lot lines are named, placed elsewhere; none where none is named."""
    placed = [(one, placing.point((one.x, one.y))) for one in site.lot_lines]
    return {"lot_lines": tuple(replace(one, x=x, y=y) for one, (x, y) in placed)} if placed else {}


def _thing(job: Job, kind: str, thing_id: UUID) -> tuple[str, Any]:
    """The kind of thing that is changed, and the thing; a zone's chosen alternative."""
    if kind not in PLACED:
        raise BadValue("This does not lie on the plan.")
    if kind in {"lot", "house"}:
        return "site", find((job.site,), thing_id, "site")
    if kind == "zone":
        return "alternative", chosen_of(job, find(job.zones, thing_id, "zone"))
    return kind, find(getattr(job, JOB_THINGS[kind][1]), thing_id, kind)


def _did(placing: Placing) -> str:
    return "Mirrored" if placing.mirror else "Turned" if placing.turn else "Moved"
