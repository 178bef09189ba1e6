"""Doors and gates: added, dragged along their wall, named, taken out. They are told by their place in the list."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.checks.walking import is_door
from app.domain.codec import to_plain
from app.domain.errors import BadValue, NotFound
from app.domain.job import Job, Opening, Site
from app.domain.plan.arcs import Point
from app.domain.plan.walls import slid
from app.domain.takeoff.openings import walls_with_openings
from app.services import jobs
from app.services.jobs import Order, changed
from app.services.office import Office

FOCUS = "opening:"
USUAL_WIDTH = 3.0  # ft
GONE = "This door or gate is not there (any more). Nothing was changed."


def place_of(focus: str) -> int | None:
    """The place in the list that a margin note goes by ("opening:0"); None for the note of anything else."""
    place = focus.removeprefix(FOCUS)
    return int(place) if focus.startswith(FOCUS) and place.isdecimal() and len(place) < 4 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningNote:
    """A door or gate in focus: its place in the list, and where its middle is drawn."""

    place: int
    opening: Opening
    at: Point


def opening_note(job: Job, focus: str) -> OpeningNote | None:
    """The door or gate that is in focus."""
    place = place_of(focus)
    if place is None or place >= len(job.site.openings):
        return None
    return OpeningNote(place=place, opening=job.site.openings[place], at=stands_at(job, job.site.openings[place]))


def stands_at(job: Job, opening: Opening) -> Point:
    """Where the middle of a door is drawn: in the nearest wall."""
    return slid(walls_with_openings(job), (opening.x, opening.y), opening.width)


def add_opening(office: Office, job_id: UUID, values: Mapping[str, Any], version: int, order: Order) -> str:
    """A door or gate where it was typed; returns what its margin note goes by.

    Raises: Stale; BadValue for a mark that is gone.
    """
    job = jobs.open_job(office, job_id).job
    _mark_is_there(job, values)
    site = job.site
    known = jobs.is_saved(office, order.change_id)
    _save(office, job_id, site, (*site.openings, Opening(**values)), version, order)
    return f"{FOCUS}{len(site.openings) - known}"


def draw_opening(office: Office, job_id: UUID, at: Point, order: Order) -> str:
    """A door drawn on the plan, or a gate away from the house: in the nearest wall. Returns what its note goes by."""
    opened = jobs.open_job(office, job_id)
    x, y = slid(walls_with_openings(opened.job), at, USUAL_WIDTH)
    new, house = Opening(title="Door", x=x, y=y, width=USUAL_WIDTH), opened.job.site.house
    title = new.title if house is None or is_door(house, new) else "Gate"
    values = {"title": title, "x": x, "y": y, "width": USUAL_WIDTH}
    return add_opening(office, job_id, values, opened.version("site", opened.job.site.id), order)


def change_opening(
    office: Office, job_id: UUID, place: int, values: Mapping[str, Any], version: int, order: Order
) -> None:
    """Another name, width, place or threshold of a door, as typed.

    Raises: NotFound, Stale; BadValue for a mark that is gone.
    """
    job = jobs.open_job(office, job_id).job
    _mark_is_there(job, values)
    _put(office, job_id, job.site, place, replace(_at(job.site, place), **values), version, order)


def drag_opening(office: Office, job_id: UUID, place: int, to: Point, version: int, order: Order) -> None:
    """A door dragged: it stays in the nearest wall or fence. Raises: NotFound, Stale."""
    job = jobs.open_job(office, job_id).job
    now = _at(job.site, place)
    x, y = slid(walls_with_openings(job), to, now.width)
    _put(office, job_id, job.site, place, replace(now, x=x, y=y), version, order)


def remove_opening(office: Office, job_id: UUID, place: int, version: int, order: Order) -> None:
    """Take a door or gate out, by its place in the list. Raises: NotFound, Stale."""
    site = jobs.open_job(office, job_id).job.site
    _at(site, place)
    _save(office, job_id, site, (*site.openings[:place], *site.openings[place + 1 :]), version, order)


def _mark_is_there(job: Job, values: Mapping[str, Any]) -> None:
    mark_id = values.get("mark_id")
    if mark_id is not None and all(mark.id != mark_id for mark in job.marks):
        raise BadValue("That mark is not there (any more). Choose another, or type the level.", field="mark_id")


def _put(office: Office, job_id: UUID, site: Site, place: int, one: Opening, version: int, order: Order) -> None:
    _save(office, job_id, site, (*site.openings[:place], one, *site.openings[place + 1 :]), version, order)


def _at(site: Site, place: int) -> Opening:
    if not 0 <= place < len(site.openings):
        raise NotFound(GONE)
    return site.openings[place]


def _save(office: Office, job_id: UUID, site: Site, openings: tuple[Opening, ...], version: int, order: Order) -> None:
    edit = changed("site", site.id, version, {"openings": to_plain(openings)})
    jobs.save(office, job_id, (edit,), replace(order, what="Doors and gates"))
