"""Along which sides of a zone the border of its pattern runs: as the margin lists them, and one switched on or off."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.errors import BadValue
from app.domain.job import Alternative, Job, PlaceKind, Work, Zone
from app.domain.plan.arcs import Point
from app.domain.plan.laying.sides import BorderSide, sides_of
from app.domain.plan.outline import Outline
from app.domain.takeoff.meeting import away_from, meetings
from app.services import jobs
from app.services.changes import Applied
from app.services.edges import title_of
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.zones import find

FOCUS = "side:"


@dataclass(frozen=True, slots=True, kw_only=True)
class SideLine:
    """One side as it is shown: the point that names it, what lies across in words."""

    side: BorderSide
    across: str

    @property
    def key(self) -> str:
        """The point that names it, as a form sends it."""
        x, y = self.side.at
        return f"{x:.4f} {y:.4f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SideNote:
    """One side in focus: its zone, the work whose border may run along it, and whether it is the last that has one."""

    zone: Zone
    work: Work
    line: SideLine
    last: bool


def side_lines(job: Job, way: Alternative, along: Sequence[Point]) -> tuple[SideLine, ...]:
    """The sides of a way's outline, with those chosen; where the chosen ones are gone, none is."""
    if way.outline is None:
        return ()
    beside = [met for met in meetings(job) if met.zone_id == way.zone_id]
    found = []
    for side in known_sides(way.outline, along):
        met = min(beside, key=lambda one: away_from(one.stretch.path, side.at), default=None)
        letter, title = title_of(job, met.neighbor) if met else ("", "")
        found.append(SideLine(side=side, across=f"{letter} {title}".strip()))
    return tuple(found)


def known_sides(outline: Outline, along: Sequence[Point]) -> tuple[BorderSide, ...]:
    """The sides of an outline; none is chosen where those that were are there no more."""
    try:
        return sides_of(outline, along)
    except BadValue:
        return tuple(replace(one, chosen=False) for one in sides_of(outline))


def side_note(view: Sheet, focus: str) -> SideNote | None:
    """The side in focus (`side:ZONE:NUMBER`); None where its zone has no border to run along it."""
    zone_key, _, number = focus.removeprefix(FOCUS).partition(":")
    zone = next((one for one in view.job.zones if str(one.id) == zone_key), None)
    way = view.job.chosen(zone) if zone else None
    work = bordered_work(view.job, way) if way else None
    if zone is None or way is None or work is None or work.laying is None:
        return None
    lines = side_lines(view.job, way, work.laying.along)
    line = next((one for one in lines if str(one.side.number) == number), None)
    chosen = [one for one in lines if one.side.chosen]
    return SideNote(zone=zone, work=work, line=line, last=chosen == [line]) if line else None


def bordered_work(job: Job, way: Alternative) -> Work | None:
    """The work on a way that is laid with border courses."""
    here = (one for one in job.works if one.place is PlaceKind.ALTERNATIVE and one.place_id == way.id)
    return next((one for one in here if one.laying and one.laying.borders), None)


def chosen_along(outline: Outline | None, keys: Sequence[str]) -> tuple[Point, ...]:
    """The points that name the ticked sides; none where all or none are ticked: then the border runs all around.

    Raises: BadValue for what names no side.
    """
    if outline is None or not keys:
        return ()
    try:
        points = [(float(x), float(y)) for x, y in (key.split() for key in keys)]
    except ValueError:
        raise BadValue("Choose the sides of the border again.", field="along") from None
    sides = sides_of(outline, points)
    chosen = tuple(one.at for one in sides if one.chosen)
    return () if len(chosen) == len(sides) else chosen


def set_side(
    office: Office, job_id: UUID, work_id: UUID, values: Mapping[str, Any], version: int, order: Order
) -> Applied:
    """Let the border of a work run along one side, or not.

    Raises: NotFound; BadValue where it is the only side that has one.
    """
    opened = jobs.open_job(office, job_id)
    work: Work = find(opened.job.works, work_id, "piece of work")
    way = next((one for one in opened.job.alternatives if one.id == work.place_id), None)
    if work.laying is None or not work.laying.borders or way is None or way.outline is None:
        raise BadValue("Choose a border in the pattern of the zone first.")
    sides = known_sides(way.outline, work.laying.along)
    number, on = int(values["number"]), bool(values["on"])
    chosen = tuple(one.at for one in sides if (on if one.number == number else one.chosen))
    if not chosen:
        raise BadValue("This is the only side with a border. Take the border off in the pattern of the zone.")
    laying = replace(work.laying, along=() if len(chosen) == len(sides) else chosen)
    edit = changed("work", work.id, version, {"laying": laying})
    words = f"Border along side {number}" if on else f"No border along side {number}"
    return jobs.save(office, job_id, (edit,), replace(order, what=words))
