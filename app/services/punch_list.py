"""The punch list: items written at the office or in the yard, done with a picture, accepted by the client."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from app.domain.errors import BadValue, NotFound, Refused
from app.domain.handover.handing_over import refuse_day
from app.domain.handover.punch import PunchPlace, by_place, is_open, not_accepted, open_items, refuse_senseless
from app.domain.job import WHOLE_JOB, PunchItem
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.own_photo import with_photo
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class PunchList:
    """The punch list as the pages show it."""

    places: tuple[PunchPlace, ...]
    open: tuple[PunchItem, ...]
    not_accepted: tuple[PunchItem, ...]
    zone_choices: tuple[tuple[str, str], ...]
    people: tuple[str, ...]
    today: date


def punch_list(view: Sheet) -> PunchList:
    """The punch list of a job."""
    job = view.job
    people = {one.who for one in job.punch_items if one.who} | {one.person for one in job.logged_hours}
    people |= {one.name for one in view.basis.firm.crew}
    return PunchList(
        places=by_place(job),
        open=open_items(job.punch_items),
        not_accepted=not_accepted(job.punch_items),
        zone_choices=zone_choices(view),
        people=tuple(sorted(people)),
        today=view.today,
    )


def zone_choices(view: Sheet) -> tuple[tuple[str, str], ...]:
    """The zones of a job to choose one of, the whole job first."""
    zones = ((str(zone.id), f"{zone.letter} {zone.title}".strip()) for zone in view.job.zones)
    return ((WHOLE_JOB, "The whole job"), *zones)


async def add_item(
    office: Office, view: Sheet, values: Mapping[str, Any], picture: bytes, order: Order
) -> Applied | None:
    """Write an item down, with a picture where there is one. Raises: BadValue beside what is missing."""
    new = PunchItem(
        id=uuid5(order.change_id, "punch"),
        day=view.today,
        what=(values.get("what") or "").strip(),
        zone=values.get("zone") or WHOLE_JOB,
        who=values.get("who") or "",
        due=values.get("due"),
        said_by=office.who(),
        said_at=office.clock(),
    )
    refuse_senseless(new, view.today)
    if new.zone not in dict(zone_choices(view)):
        raise BadValue("Choose one of the zones.", field="zone")
    if jobs.is_saved(office, order.change_id):
        return None
    photo, edits = await with_photo(office, picture, order, caption=new.what, when="during", day=view.today)
    edits = (*edits, made("punch_item", replace(new, photo_id=photo)))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Punch list: {new.what}"[:120]))


async def item_done(
    office: Office, view: Sheet, item_id: UUID, values: Mapping[str, Any], picture: bytes, order: Order
) -> Applied | None:
    """An item is done: by whom, when, with a picture where there is one. Raises: NotFound, BadValue, Refused."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = _item(view, item_id)
    if not is_open(one):
        raise Refused(f"“{one.what}” is done already.")
    if one.test and not view.job.handed_over:
        raise Refused("This came of a test that did not pass: sign that test again, and it is done.")
    day = values.get("day") or view.today
    refuse_day(day, view.today)
    photo, edits = await with_photo(office, picture, order, caption=f"Done: {one.what}", when="after", day=day)
    fields = {"done_on": day, "done_by": values.get("who") or one.who or office.who(), "done_photo_id": photo}
    edits = (*edits, changed("punch_item", one.id, view.version("punch_item", one.id), fields))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Done: {one.what}"[:120]))


def not_done(office: Office, view: Sheet, item_id: UUID, order: Order) -> Applied | None:
    """It is not done after all; the client's word on it goes, too. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = _item(view, item_id)
    fields = {"done_on": None, "done_by": "", "done_photo_id": None, "client_on": None, "client_words": ""}
    edit = changed("punch_item", one.id, view.version("punch_item", one.id), fields)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=f"Not done: {one.what}"[:120]))


def client_says(office: Office, view: Sheet, item_id: UUID, values: Mapping[str, Any], order: Order) -> Applied | None:
    """The client looked at what was done and accepts it. Raises: NotFound, Refused while it is not done."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = _item(view, item_id)
    if is_open(one):
        raise Refused(f"“{one.what}” is not done yet. The client accepts what is done.")
    fields = {"client_on": view.today, "client_words": values.get("words") or ""}
    edit = changed("punch_item", one.id, view.version("punch_item", one.id), fields)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=f"Accepted: {one.what}"[:120]))


def take_out(office: Office, view: Sheet, item_id: UUID, order: Order) -> Applied | None:
    """Take out what was written by mistake. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = _item(view, item_id)
    edits = jobs.removal(view.opened, "punch_item", item_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Taken out: {one.what}"[:120]))


def _item(view: Sheet, item_id: UUID) -> PunchItem:
    found = next((one for one in view.job.punch_items if one.id == item_id), None)
    if found is None:
        raise NotFound("This item is not on the punch list (any more).")
    return found
