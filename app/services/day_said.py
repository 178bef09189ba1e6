"""What is said of a day's work: who is on it, and the checks that somebody signs for by name."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from uuid import UUID, uuid5

from app.domain.crew.days import said_for
from app.domain.errors import BadValue, NotFound
from app.domain.job import CrewOn, SignedCheck
from app.services import jobs
from app.services.changes import Applied
from app.services.day_sheets import checks_of, place_of, planned_part
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet

LONGEST_NAME, LONGEST_CHECK = 60, 400  # characters


def put_on(office: Office, view: Sheet, day: date, key: str, people: Sequence[str], order: Order) -> Applied | None:
    """Say who is on a stage of a place from a day on. Raises: NotFound for what is not planned, or nobody's key."""
    if jobs.is_saved(office, order.change_id):
        return None
    part = planned_part(office, view, day, key)
    known = {one.key: one.name for one in office.firm().crew}
    if not set(people) <= known.keys():
        raise NotFound("Somebody ticked is not in the crew any more. Look at the day again.")
    place = place_of(part.row.planned)
    there = said_for(view.job.crew_on, place, day)
    if there:
        edit = changed("crew_on", there.id, view.version("crew_on", there.id), {"people": tuple(people)})
    else:
        zone, phase, stage = place
        new = CrewOn(
            id=uuid5(order.change_id, "on"), day=day, people=tuple(people), zone=zone, phase=phase, stage=stage
        )
        edit = made("crew_on", new)
    names = ", ".join(known[one] for one in people) or "nobody"
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=f"On {part.stage}: {names}"[:120]))


def sign_check(office: Office, view: Sheet, day: date, key: str, words: str, name: str, order: Order) -> Applied | None:
    """Sign for a check by name, as the crew does in the yard; sent twice, it is signed once.

    Raises: BadValue without a name; NotFound for what is no check of that day.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    if not name.strip():
        raise BadValue("No name is tapped. Tap who looked at it, or type the name, then sign.", field="name")
    part = planned_part(office, view, day, key)
    if words not in checks_of(office, part):
        raise NotFound("That is no check of this day (any more). Look at the day again.")
    zone, phase, stage = place_of(part.row.planned)
    new = SignedCheck(
        id=uuid5(order.change_id, "check"),
        day=min(day, view.today),  # who is ahead of the schedule signs today
        words=words[:LONGEST_CHECK],
        name=" ".join(name.split())[:LONGEST_NAME],
        zone=zone,
        phase=phase,
        stage=stage,
        said_by=office.who(),
        said_at=office.clock(),
    )
    what = f"Checked by {new.name}: {new.words}"[:120]
    return jobs.save(office, view.job.head.id, (made("signed_check", new),), replace(order, what=what))


def take_back(office: Office, view: Sheet, check_id: UUID, order: Order) -> Applied | None:
    """Take out what was signed for by mistake; the record keeps it. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    gone = next((one for one in view.job.signed_checks if one.id == check_id), None)
    if gone is None:
        raise NotFound("This is not signed for (any more).")
    edits = jobs.removal(view.opened, "signed_check", check_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Not checked: {gone.words}"[:120]))
