"""Borders, beds and lines along a thing of the plan: set off from its outline, from one edge of it, or from a line."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import Alternative, PlaceKind, Run, RunKind, Zone, ZoneKind
from app.domain.plan.arcs import Segment, ring_area
from app.domain.plan.offsetting import CORNERS, alongside, band, bed, offset, offset_parts
from app.domain.plan.open_lines import points_and_rises
from app.domain.plan.outline import Outline
from app.domain.plan.walks import ring_of
from app.domain.units import format_length
from app.services import jobs
from app.services.drawn_shapes import Drawn, drawn, said_beside
from app.services.jobs import OpenJob, Order, made
from app.services.office import Office
from app.services.reshaping import Reshaped, parted, parts_of
from app.services.zones import new_work, next_letter, next_position

AROUND, INSIDE, SAME, LINE = "around", "inside", "same", "line"
MAKES = (AROUND, INSIDE, SAME, LINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetOff:
    """What is set off: how wide [ft], with which corners, and what is made of it.

    `around` and `inside`: a zone along the outer or the inner side of an outline (the zone itself gives up the ground
    inside); of a line: along the right or the left of its way. `same`: the outline itself grows, or shrinks where the
    width is negative. `line`: a line that runs alongside, at that distance. `edge`: along this edge only (from 0).
    """

    width: float
    makes: str = AROUND
    corners: str = CORNERS[0]
    edge: int | None = None
    title: str = ""
    assembly: str = ""


def set_off(office: Office, job_id: UUID, kind: str, thing_id: UUID, told: SetOff, order: Order) -> Reshaped:
    """A border, a bed or a line along a thing of the plan, or the thing itself grown.

    Raises: NotFound, NothingLeft, UnknownAssembly, BadValue.
    """
    opened = jobs.open_job(office, job_id)
    shape = drawn(opened, kind, thing_id)
    shape.walk()  # refuses what is not drawn yet
    if jobs.is_saved(office, order.change_id):
        return Reshaped(focus=f"{kind}:{thing_id}", said="")
    if told.makes == SAME:
        return _grown(office, job_id, shape, told, replace(order, what=f"Grown: {shape.title}"), f"{kind}:{thing_id}")
    what = told.title or f"Along {shape.title}"
    if told.makes == LINE:
        with said_beside("width"):
            run = replace(_line_beside(opened, shape, told), id=uuid5(order.change_id, "run"), title=what)
        jobs.save(office, job_id, (made("run", run),), replace(order, what=f"New: {what}"))
        return Reshaped(focus=f"run:{run.id}", said="")
    with said_beside("width"):
        edits, said = _ground(opened, shape, told, what, order)
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"New: {what}"))
    return Reshaped(focus=f"zone:{edits[0].thing_id}", said=said)


def _grown(office: Office, job_id: UUID, shape: Drawn, told: SetOff, order: Order, focus: str) -> Reshaped:
    if shape.outline is None:
        raise BadValue("A line has no ground that could grow. Make a bed or another line along it.", field="makes")
    opened = jobs.open_job(office, job_id)
    with said_beside("width"):
        if _zone_of(opened, shape) is None:
            left = [offset(shape.outline, told.width, corners=told.corners)]
        else:
            left = [*offset_parts(shape.outline, told.width, corners=told.corners)]
    edits, more = _what_is_left(opened, shape, left, order)
    jobs.save(office, job_id, (shape.edit({shape.field: left[0]}), *edits), order)
    way = "outward" if told.width > 0 else "inward"
    return Reshaped(focus=focus, said=f"All its edges moved {way} by {format_length(abs(told.width))}.{more}")


def _zone_of(opened: OpenJob, shape: Drawn) -> Zone | None:
    """The zone whose outline it is; None for the house, the lot or what is there."""
    if shape.kind != "alternative":
        return None
    return next((one for one in opened.job.zones if one.id == shape.thing.zone_id), None)


def _what_is_left(
    opened: OpenJob, shape: Drawn, left: Sequence[Outline], order: Order, *, taken: Sequence[str] = ()
) -> tuple[list[Edit], str]:
    """Where a width parted a zone, the edits that make zones of the smaller parts; and what is said of it."""
    zone = _zone_of(opened, shape)
    if zone is None or len(left) < 2:
        return [], ""
    edits, letters = parted(opened, zone, parts_of(order, zone, left), taken=taken)
    named, are = " and ".join(letters), "are zones" if len(letters) > 1 else "is a zone"
    return edits, f" What was left fell into {len(left)} parts: {named} {are} of its own, built as {zone.letter} is."


def _ground(opened: OpenJob, shape: Drawn, told: SetOff, what: str, order: Order) -> tuple[list[Edit], str]:
    """A zone along the shape, built as told, and what is said; a zone that is bordered inside gives up that ground."""
    edits, said, letter = [], "", next_letter(opened.job)
    outline = shape.outline
    if outline is None or told.edge is not None:
        ground = bed(*_along(shape, told), corners=told.corners)
    else:
        ground = band(outline, told.width if told.makes == AROUND else -told.width, corners=told.corners)
    if told.makes == INSIDE and shape.kind == "alternative" and outline is not None:
        if told.edge is not None:
            raise BadValue("Along one edge inside a zone: split the zone by a line there instead.", field="makes")
        left = offset_parts(outline, -told.width, corners=told.corners)
        more, said = _what_is_left(opened, shape, left, order, taken=[letter])
        edits += [shape.edit({"outline": left[0]}), *more]
    zone = Zone(
        id=uuid5(order.change_id, "zone"),
        letter=letter,
        title=what,
        kind=ZoneKind.OTHER if told.assembly else ZoneKind.PLANTING,
        phase_id=opened.job.phases[0].id if opened.job.phases else None,
        position=next_position(opened.job.zones),
    )
    way = Alternative(id=uuid5(zone.id, "way"), zone_id=zone.id, title="As drawn", outline=ground)
    new = [made("zone", replace(zone, chosen_id=way.id)), made("alternative", way)]
    if told.assembly:
        work = new_work(opened, PlaceKind.ALTERNATIVE, way.id, told.assembly)
        new.append(made("work", replace(work, id=uuid5(way.id, "work"))))
    return [*new, *edits], said.strip()


def _along(shape: Drawn, told: SetOff) -> tuple[tuple[Segment, ...], float]:
    """The line a bed lies along, and its width: to the right of the way where positive."""
    walk = shape.walk()
    pieces = walk.pieces
    if told.edge is not None:
        if not 0 <= told.edge < len(pieces):
            raise BadValue(f"There is no edge {told.edge + 1}; the last one is {len(pieces)}.", field="edge")
        pieces = (pieces[told.edge],)
    outward = 1 if not walk.closed or ring_area(walk.pieces) > 0 else -1
    return pieces, told.width * outward * (1 if told.makes != INSIDE else -1)


def _line_beside(opened: OpenJob, shape: Drawn, told: SetOff) -> Run:
    """A run along a line or around an outline; at no distance it runs on the very edge."""
    outline: Outline | None = shape.outline
    if outline is not None and told.edge is None:
        rim = offset(outline, told.width, corners=told.corners) if told.width else outline
        pieces: tuple[Segment, ...] = ring_of(rim).pieces
    else:
        line, width = _along(shape, told)
        pieces = alongside(line, width, corners=told.corners) if width else line
    points, rises = points_and_rises(pieces)
    return Run(
        id=shape.thing.id,
        kind=RunKind.EDGING,
        points=points,
        rises=rises,
        ends=0 if points[0] == points[-1] else 2,
        position=next_position(opened.job.runs),
    )
