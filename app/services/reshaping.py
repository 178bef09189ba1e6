"""Shapes on the plan changed as a whole: split, joined, set off, squared up; each is one change."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import Job, PlaceKind, Zone
from app.domain.plan import points
from app.domain.plan.between import contains
from app.domain.plan.growing import TOUCHING
from app.domain.plan.joining import join
from app.domain.plan.outline import Outline
from app.domain.plan.splitting import split
from app.domain.plan.squaring import square_up, square_up_line
from app.domain.plan.walks import Walk
from app.domain.units import format_length
from app.services import jobs
from app.services.drawn_shapes import chosen_of, drawn, said_beside
from app.services.edges_along import Parts, edges_after_join, edges_after_split, works_like
from app.services.jobs import OpenJob, Order, changed, made, removal
from app.services.office import Office
from app.services.zones import find, next_letter, next_position


@dataclass(frozen=True, slots=True, kw_only=True)
class Reshaped:
    """What came of it: the thing whose margin note is shown next ("zone:ID"), and what was done, in a sentence."""

    focus: str
    said: str


def split_zone(office: Office, job_id: UUID, zone_id: UUID, line: Walk, version: int | None, order: Order) -> Reshaped:
    """Split a zone by a line: the largest part stays the zone, each other one becomes a zone built in the same way.

    It has the same works with their parameters, phase, choices and needs; lines and things that lie in it, and decided
    edges along it, go with it.

    Raises: NotFound, Stale, DoesNotCut.
    """
    opened = jobs.open_job(office, job_id)
    zone: Zone = find(opened.job.zones, zone_id, "zone")
    shape = drawn(opened, "zone", zone_id)
    if jobs.is_saved(office, order.change_id):
        return Reshaped(focus=f"zone:{zone_id}", said="")
    if shape.outline is None:
        raise BadValue(f"{shape.title} has no outline yet. Type or draw it first.")
    with said_beside("cut"):
        first, *others = split(shape.outline, line.pieces)
    parts = parts_of(order, zone, [first, *others])
    edits, letters = parted(opened, zone, parts)
    edits.insert(0, shape.edit({"outline": first}, version))
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"Split {shape.title} into {len(parts)}"))
    said = f"{zone.letter} was split. {' and '.join(letters)} is built as {zone.letter} is, until you change it."
    return Reshaped(focus=f"zone:{parts[1][0]}", said=said)


def parts_of(order: Order, zone: Zone, outlines: Sequence[Outline]) -> Parts:
    """The outlines into which a zone falls with the ids of the zones they become: the first one stays the zone."""
    return [(zone.id if n == 0 else uuid5(order.change_id, f"zone {n}"), one) for n, one in enumerate(outlines)]


def parted(opened: OpenJob, zone: Zone, parts: Parts, *, taken: Sequence[str] = ()) -> tuple[list[Edit], list[str]]:
    """The edits that make zones, built in the same way, of all parts of a zone but the first; and their letters.

    `taken` are letters of other zones that the same change makes.
    """
    edits: list[Edit] = []
    letters: list[str] = []
    for number, (new_id, part) in enumerate(parts[1:], 2):
        letters.append(_letter_after(opened.job, [*taken, *letters]))
        new = replace(zone, id=new_id, letter=letters[-1], title=f"{zone.title}, part {number}")
        new = replace(new, position=next_position(opened.job.zones) + len(taken) + number - 2)
        edits += _like(opened, zone, new, part)
    edits += _met_by(opened, zone, [new_id for new_id, _ in parts[1:]])
    edits += edges_after_split(opened, zone, parts)
    return edits, letters


def _letter_after(job: Job, taken: Sequence[str]) -> str:
    """The next letter that no zone has, nor any of those just made."""
    made_now = [Zone(id=job.head.id, letter=letter) for letter in taken]
    return next_letter(replace(job, zones=(*job.zones, *made_now)))


def _like(opened: OpenJob, zone: Zone, new: Zone, outline: Outline) -> Iterator[Edit]:
    """A zone made like another: its chosen way on another outline, its works, choices, what lies in it."""
    job, chosen = opened.job, chosen_of(opened.job, zone)
    way = replace(chosen, id=uuid5(new.id, "way"), zone_id=new.id, outline=outline, level_at=None, position=0)
    yield made("zone", replace(new, chosen_id=way.id))
    yield made("alternative", way)
    yield from (made("work", work) for work in works_like(job, PlaceKind.ALTERNATIVE, chosen.id, way.id))
    for choice in job.choices:
        if choice.zone_id == zone.id:
            yield made("choice", replace(choice, id=uuid5(new.id, str(choice.id)), zone_id=new.id))
    yield from _gone_along(opened, zone, new, outline)


def _met_by(opened: OpenJob, zone: Zone, new: Sequence[UUID]) -> Iterator[Edit]:
    """What a zone meets of what was asked for, its new parts meet too."""
    for need in opened.job.needs:
        if zone.id in need.zone_ids:
            ids = (*need.zone_ids, *new)
            yield changed("need", need.id, opened.version("need", need.id), {"zone_ids": ids})


def _gone_along(opened: OpenJob, zone: Zone, new: Zone, outline: Outline) -> Iterator[Edit]:
    """Lines and things of a zone that lie in the new part belong to that one from now on."""
    for feature in opened.job.features:
        placed = feature.zone_id == zone.id and feature.x is not None and feature.y is not None
        if placed and contains(outline, (feature.x or 0.0, feature.y or 0.0)):
            yield changed("feature", feature.id, opened.version("feature", feature.id), {"zone_id": new.id})
    for run in opened.job.runs:
        if run.zone_id == zone.id and run.points and all(contains(outline, point) for point in run.points):
            yield changed("run", run.id, opened.version("run", run.id), {"zone_id": new.id})


def join_zones(office: Office, job_id: UUID, zone_id: UUID, other_id: UUID, order: Order) -> Reshaped:
    """Join another zone to this one: one outline, built as this one is; what hung on the other one comes along.

    Its works, other ways and choices go; its lines, things, needs and decided edges become this one's.
    Raises: NotFound, DoNotTouch.
    """
    opened = jobs.open_job(office, job_id)
    if jobs.is_saved(office, order.change_id):
        return Reshaped(focus=f"zone:{zone_id}", said="")
    zone: Zone = find(opened.job.zones, zone_id, "zone")
    other: Zone = find(opened.job.zones, other_id, "zone")
    if zone.id == other.id:
        raise BadValue("A zone is joined to another one. Choose which.", field="other")
    one, two = drawn(opened, "zone", zone_id), drawn(opened, "zone", other_id)
    if one.outline is None or two.outline is None:
        raise BadValue("Both zones need an outline before they are joined. Type or draw it first.", field="other")
    gap = opened.job.site.meeting_gap
    with said_beside("other"):
        whole = join(one.outline, two.outline, gap=TOUCHING if gap is None else gap)
    edits = [one.edit({"outline": whole}), *_taken_over(opened, zone, other), *edges_after_join(opened, zone, other)]
    passed_on = {edit.thing_id for edit in edits if edit.kind == "edge" and edit.after is not None}
    built = {str(work.id) for work in opened.job.works if str(work.place_id) in passed_on}
    gone = [edit for edit in removal(opened, "zone", other.id) if edit.thing_id not in passed_on | built]
    jobs.save(office, job_id, (*edits, *gone), replace(order, what=f"Joined {two.title} to {one.title}"))
    said = f"{other.letter} is part of {zone.letter} now, and built as {zone.letter} is."
    return Reshaped(focus=f"zone:{zone_id}", said=said)


def _taken_over(opened: OpenJob, zone: Zone, other: Zone) -> Iterator[Edit]:
    """What named another zone names this one."""
    job = opened.job
    for kind, things in (("run", job.runs), ("feature", job.features), ("allowance", job.allowances)):
        for thing in things:
            if thing.zone_id == other.id:
                yield changed(kind, thing.id, opened.version(kind, thing.id), {"zone_id": zone.id})
    for need in job.needs:
        if other.id in need.zone_ids:
            ids = tuple(dict.fromkeys(zone.id if one == other.id else one for one in need.zone_ids))
            yield changed("need", need.id, opened.version("need", need.id), {"zone_ids": ids})


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """Which walk is meant: of which thing, and of an outline which ring (0: the outer one)."""

    kind: str
    thing_id: UUID
    ring: int = 0


def squared_up(office: Office, job_id: UUID, at: At, within: float, version: int | None, order: Order) -> Reshaped:
    """Make what is nearly square exactly so, and say how far the furthest point was moved.

    Raises: NotFound, Stale, BadValue where nothing is off.
    """
    opened = jobs.open_job(office, job_id)
    shape, focus = drawn(opened, at.kind, at.thing_id), f"{at.kind}:{at.thing_id}"
    with said_beside("within"):
        if shape.outline is not None:
            outline, moved = square_up(shape.outline, within=within)
            fields: dict[str, Any] = {shape.field: outline}
        else:
            pieces, moved = square_up_line(shape.walk().pieces, within=within)
            fields = shape.fields(Walk(pieces, closed=False))
    if not moved:
        if jobs.is_saved(office, order.change_id):
            return Reshaped(focus=focus, said="")
        raise BadValue(
            f"No edge is off square or parallel by less than {within:g}°. Nothing was moved.", field="within"
        )
    jobs.save(office, job_id, (shape.edit(fields, version),), replace(order, what=f"Squared up {shape.title}"))
    said = f"Squared up: no point was moved by more than {format_length(moved, sixteenths=True)}."
    return Reshaped(focus=focus, said=said)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointEdit:
    """One row of the table of points changed: which point (from 0), and what is done there or to the edge that leaves.

    `what` is one of `WHATS`. `x` and `y` [ft] go with a move; one that is None stays as it is. `amount` goes with
    length [ft], direction [degrees], rise and radius [ft, positive: to the right of the way], round [ft].
    """

    what: str
    place: int
    x: float | None = None
    y: float | None = None
    amount: float | None = None
    field: str = ""  # of the form: where a refusal is said


def _amount(told: PointEdit) -> float:
    if told.amount is None:
        raise BadValue("Type a number there first.", field="amount")
    return told.amount


def _moved(walk: Walk, told: PointEdit) -> Walk:
    x, y = walk.points[told.place] if 0 <= told.place < len(walk.points) else (0.0, 0.0)
    to = (x if told.x is None else told.x, y if told.y is None else told.y)
    return points.move_point(walk, told.place, to)


# what can be done at a point, or to the edge that leaves it
WHATS: Mapping[str, Callable[[Walk, PointEdit], Walk]] = {
    "move": _moved,
    "insert": lambda walk, told: points.insert_point(walk, told.place),
    "remove": lambda walk, told: points.remove_point(walk, told.place),
    "length": lambda walk, told: points.set_length(walk, told.place, _amount(told)),
    "direction": lambda walk, told: points.set_direction(walk, told.place, _amount(told)),
    "rise": lambda walk, told: points.bend(walk, told.place, _amount(told)),
    "radius": lambda walk, told: points.bend_to_radius(walk, told.place, _amount(told)),
    "straight": lambda walk, told: points.bend(walk, told.place, 0.0),
    "run on": lambda walk, told: points.bend_tangent(walk, told.place),
    "run into": lambda walk, told: points.bend_tangent(walk, told.place, to_next=True),
    "round": lambda walk, told: points.round_corner(walk, told.place, _amount(told)),
}


def edit_points(
    office: Office, job_id: UUID, at: At, told: Sequence[PointEdit], version: int | None, order: Order
) -> Reshaped:
    """Change points and edges of a shape, one after another, as one change. What is not named stays where it is.

    Raises: NotFound, Stale, BadValue and every refusal of an outline.
    """
    opened = jobs.open_job(office, job_id)
    shape = drawn(opened, at.kind, at.thing_id)
    focus = f"{at.kind}:{at.thing_id}"
    if jobs.is_saved(office, order.change_id):
        return Reshaped(focus=focus, said="")
    walk = before = shape.walk(at.ring)
    for one in told:
        if one.what not in WHATS:
            raise BadValue("That cannot be done at a point. Choose one of the list.", field="what")
        try:
            walk = WHATS[one.what](walk, one)
        except BadValue as wrong:
            wrong.field = one.field
            raise
    if walk == before:
        raise BadValue("Nothing was changed in the table. Type over a number, then save it.")
    edit = shape.edit(shape.fields(walk, at.ring), version)
    jobs.save(office, job_id, (edit,), replace(order, what=f"Points of {shape.title}"))
    return Reshaped(focus=focus, said="")
