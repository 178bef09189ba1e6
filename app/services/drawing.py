"""What is drawn by hand on the plan: a shape changed, a whole thing moved; each is one change, checked here again."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from app.domain.errors import BadValue
from app.domain.job import EXISTING_KINDS, JOB_THINGS, UTILITIES, Dimension, Job, Measured, RunKind, ZoneKind
from app.domain.plan.arcs import Point
from app.domain.plan.measures import moved
from app.domain.plan.outline import Outline
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.openings import draw_opening
from app.services.placed_lights import place_light
from app.services.placed_plants import place_plant
from app.services.site import add_existing
from app.services.sprinklers import place_head
from app.services.things import add_thing
from app.services.zones import NewZone, add_zone, find

# kind of thing → the fields that a hand on the plan may set
DRAWN_FIELDS: Mapping[str, frozenset[str]] = {
    "alternative": frozenset({"outline", "measured"}),
    "existing": frozenset({"outline", "points", "rises", "x", "y"}),
    "site": frozenset({"lot", "house"}),
    "run": frozenset({"points", "rises", "measured"}),
    "feature": frozenset({"x", "y"}),
    "easement": frozenset({"outline", "points", "rises"}),
    "dimension": frozenset({"start", "end"}),
    "note": frozenset({"x", "y"}),
    "underlay": frozenset(),
}


def redraw(
    office: Office, job_id: UUID, kind: str, thing_id: UUID, fields: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """Set what was drawn of a thing: its outline, its points or where it stands.

    Raises: NotFound, Stale, BadValue where nothing was drawn.
    """
    job = jobs.open_job(office, job_id).job
    thing = _find(job, kind, thing_id)
    if kind == "dimension" and fields.get("points"):
        fields = {"start": fields["points"][0], "end": fields["points"][-1]}
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

    def of(self, point: Point) -> Point:
        """Where a point goes."""
        return point[0] + self.east, point[1] + self.north


def move_thing(
    office: Office, job_id: UUID, kind: str, thing_id: UUID, shift: Shift, version: int, order: Order
) -> Applied:
    """Move a whole thing; its lengths, and how it was typed, stay. Plants placed one by one go with their bed.

    Raises: NotFound, Stale, BadValue where it does not lie on the plan yet.
    """
    opened = jobs.open_job(office, job_id)
    job = opened.job
    thing = _find(job, kind, thing_id)
    edits = [changed(kind, thing_id, version, _moved_fields(thing, shift))]
    for row in job.plantings if kind == "alternative" else ():
        if row.alternative_id == thing_id and row.points:
            points = tuple(shift.of(point) for point in row.points)
            edits.append(changed("planting", row.id, opened.version("planting", row.id), {"points": points}))
    what = f"Moved {_name(job, kind, thing, shift.part)}"
    return jobs.save(office, job_id, tuple(edits), replace(order, what=what))


def _moved_fields(thing: Any, shift: Shift) -> dict[str, Any]:
    name = shift.part or "outline"
    outline = getattr(thing, name, None)
    if isinstance(outline, Outline):
        return {name: moved(outline, shift.east, shift.north)}
    if isinstance(thing, Dimension):
        return {"start": shift.of(thing.start), "end": shift.of(thing.end)}
    points = getattr(thing, "points", ())
    if points:
        return {"points": tuple(shift.of(point) for point in points)}
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
    return getattr(thing, "title", "") or getattr(thing, "words", "")[:40] or kind


Maker = Callable[[Office, UUID, Mapping[str, Any], Order], str]


def make(office: Office, job_id: UUID, kind: str, drawn: Mapping[str, Any], order: Order) -> str:
    """Make what was drawn, with a name to begin with; returns what its margin note goes by ("zone:ID").

    Raises: BadValue where nothing was drawn.
    """
    return MAKERS[kind](office, job_id, drawn, order)


def _make_zone(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    purpose = ZoneKind(drawn.get("kind") or ZoneKind.OTHER)
    title = "New zone" if purpose is ZoneKind.OTHER else f"New {purpose.value} zone"
    new = NewZone(
        title=title, kind=purpose, outline=_needed(drawn, "outline"), measured=drawn.get("measured") or Measured.SKETCH
    )
    return f"zone:{add_zone(office, job_id, new, order)}"


def _make_run(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    kind = RunKind(drawn.get("kind") or RunKind.OTHER)
    title = "New line" if kind is RunKind.OTHER else kind.value.capitalize()
    _needed(drawn, "points")
    return _make_thing(office, job_id, "run", {**drawn, "kind": kind, "title": title}, order)


def _make_feature(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    _needed(drawn, "x")
    fields = {name: drawn.get(name) for name in ("x", "y")}
    return _make_thing(office, job_id, "feature", {**fields, "title": "New thing"}, order)


def _make_easement(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    """Ground somebody has a right to: its outline, or the middle of a strip with how wide that is."""
    if drawn.get("outline") is None:
        _needed(drawn, "points")
        if not drawn.get("width"):
            raise BadValue("Type how wide the strip is, below the drawing; then try again.", field="drawn")
    shape = {name: drawn[name] for name in ("outline", "points", "rises", "width") if drawn.get(name) is not None}
    return _make_thing(office, job_id, "easement", {"title": "Easement", **shape}, order)


def _make_dimension(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    start, end = _needed(drawn, "points")[:2]
    fields = {"start": start, "end": end, "offset": drawn.get("offset") or 0.0}
    return _make_thing(office, job_id, "dimension", fields, order)


def _make_note(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    _needed(drawn, "x")
    to = None if drawn.get("to.x") is None or drawn.get("to.y") is None else (drawn["to.x"], drawn["to.y"])
    fields = {"words": drawn.get("words") or "Note", "x": drawn["x"], "y": drawn["y"], "to": to}
    return _make_thing(office, job_id, "note", fields, order)


def _make_thing(office: Office, job_id: UUID, kind: str, fields: Mapping[str, Any], order: Order) -> str:
    new_id = uuid5(order.change_id, kind)  # the same change sent again names the same thing
    add_thing(office, job_id, kind, new_id, fields, order)
    return f"{kind}:{new_id}"


def _make_existing(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    """What stands there today: by its kind, or a line in the ground by the utility it belongs to."""
    what, utility = drawn.get("what") or "other", ""
    if what.startswith(UTILITY):
        utility = what.removeprefix(UTILITY)
        what = "other"
    if not any(drawn.get(name) for name in ("outline", "points")) and drawn.get("x") is None:
        raise BadValue("Nothing was drawn. Draw it again.", field="drawn")
    shape = {name: drawn[name] for name in DRAWN_FIELDS["existing"] if drawn.get(name) is not None}
    title = UTILITIES[utility] if utility else EXISTING_KINDS[what]
    values = {**shape, "kind": what, "utility": utility, "title": title, "fate": drawn.get("fate") or "stays"}
    return f"existing:{add_existing(office, job_id, values, order)}"


def _make_opening(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    return draw_opening(office, job_id, (_needed(drawn, "x"), _needed(drawn, "y")), order)


def _place_plant(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    at = (_needed(drawn, "x"), _needed(drawn, "y"))
    if drawn.get("row") is None:
        raise BadValue("Choose of which plant: list it on the Beds sheet first.", field="drawn")
    return place_plant(office, job_id, drawn["row"], at, order)


def _place_light(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    at = (_needed(drawn, "x"), _needed(drawn, "y"))
    return place_light(office, job_id, drawn.get("recipe") or "", at, order)


def _place_head(office: Office, job_id: UUID, drawn: Mapping[str, Any], order: Order) -> str:
    return place_head(office, job_id, (_needed(drawn, "x"), _needed(drawn, "y")), drawn, order)


def _needed(drawn: Mapping[str, Any], name: str) -> Any:
    found = drawn.get(name)
    if found is None or found == ():
        raise BadValue("Nothing was drawn. Draw it again.", field="drawn")
    return found


UTILITY = "utility:"
MAKERS: Mapping[str, Maker] = {
    "zone": _make_zone,
    "run": _make_run,
    "feature": _make_feature,
    "existing": _make_existing,
    "opening": _make_opening,
    "easement": _make_easement,
    "dimension": _make_dimension,
    "note": _make_note,
    "plant": _place_plant,
    "light": _place_light,
    "head": _place_head,
}
