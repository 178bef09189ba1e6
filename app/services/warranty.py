"""Warranty: visits proposed from the hand-over on, calls with what they cost against the reserve in the price."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from app.db.repositories import handed_over as rows
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.handover.built import built_works
from app.domain.handover.handing_over import handed_over_of, refuse_day
from app.domain.handover.warranty import (
    CallCost,
    Reserve,
    Visit,
    call_costs,
    explain_call,
    explain_spent,
    refuse_moving,
    refuse_senseless,
    reserve_of,
    visits,
)
from app.domain.job import WHOLE_JOB, WarrantyCall, WarrantyVisit
from app.domain.joblog import mean_per_hour
from app.domain.takeoff.trace import Trace
from app.interchange.after_lists import care_lists
from app.interchange.calendar_out import CalendarDay
from app.services import jobs
from app.services.build import build_sheet, built_estimate
from app.services.changes import Applied
from app.services.daily_log import daily_log
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.own_photo import with_photo
from app.services.punch_list import zone_choices
from app.services.receivables import today_of
from app.services.sheets import Sheet

SOON = timedelta(days=7)
MOST_CREW = 6  # names proposed


@dataclass(frozen=True, slots=True, kw_only=True)
class Warranty:
    """The warranty of a yard as its page shows it."""

    handed_over: date | None
    today: date
    visits: tuple[Visit, ...]
    costs: tuple[CallCost, ...]
    reserve: Reserve
    per_hour: Decimal | None
    zones: tuple[tuple[str, str], ...]
    recipes: tuple[tuple[str, str], ...]
    subcontractors: tuple[tuple[str, str], ...]
    batches: tuple[str, ...]
    titles: Mapping[str, str]  # of recipes

    def zone(self, key: str) -> str:
        """What a zone is called; nothing for the whole job."""
        return dict(self.zones).get(key, "") if key != WHOLE_JOB else ""

    def subcontractor(self, key: str) -> str:
        """What a subcontractor is called."""
        return dict(self.subcontractors).get(key, key)

    def visit(self, after_days: int) -> Visit:
        """A visit by its days after hand-over. Raises: NotFound."""
        found = next((one for one in self.visits if one.after_days == after_days), None)
        if found is None:
            raise NotFound("There is no such visit. It is proposed once the yard is handed over.")
        return found


def warranty(office: Office, view: Sheet) -> Warranty:
    """The warranty of a job."""
    job, log = view.job, daily_log(office, view)
    stands = build_sheet(office, view).stands
    over = handed_over_of(job)
    per_hour = mean_per_hour(log.tasks)
    costs = call_costs(job, per_hour)
    works = [one for one in built_works(stands.job, stands.basis) if one.thing != WHOLE_JOB]
    titles = {one.assembly: stands.basis.assemblies[one.assembly].title for one in works}
    reserved = built_estimate(office, view).build_up.step("warranty").cents
    came = (line.batch for one in job.deliveries for line in one.lines if line.batch)
    noted = (one.batch for one in job.built_notes if one.batch)
    bought = (one.batch for one in job.logged_receipts if one.batch)
    return Warranty(
        handed_over=over.day if over else None,
        today=view.today,
        visits=visits(over.day if over else None, care_lists(office.settings.library).visits, job.warranty_visits),
        costs=costs,
        reserve=reserve_of(reserved, costs),
        per_hour=per_hour,
        zones=zone_choices(view),
        recipes=tuple(sorted(titles.items(), key=lambda pair: pair[1])),
        subcontractors=tuple((one.key, one.title) for one in view.basis.subcontractors.values()),
        batches=tuple(sorted({*came, *noted, *bought})),
        titles=titles,
    )


async def write_call(
    office: Office, view: Sheet, values: Mapping[str, Any], picture: bytes, order: Order
) -> Applied | None:
    """Take a call. Raises: Refused before hand-over, BadValue beside what is missing."""
    if jobs.is_saved(office, order.change_id):
        return None
    held = warranty(office, view)
    if held.handed_over is None:
        raise Refused("Nothing is handed over yet. What is wrong before that goes on the punch list.")
    day = values["day"]
    refuse_day(day, view.today, not_before=held.handed_over)
    given = _known(values, held)
    new = WarrantyCall(
        id=uuid5(order.change_id, "call"), day=day, said_by=office.who(), said_at=office.clock(), **given
    )
    refuse_senseless(new)
    photo, edits = await with_photo(office, picture, order, caption=new.what, when="after", day=day)
    edits = (*edits, made("warranty_call", replace(new, photo_id=photo)))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Warranty call: {new.what}"[:120]))


def _known(values: Mapping[str, Any], held: Warranty) -> dict[str, Any]:
    """What a form says of a call; a zone, recipe or subcontractor there is not is refused beside its field."""
    given = {
        name: values[name]
        for name in ("what", "zone", "assembly", "cause", "crew", "subcontractor", "batch", "words")
        if values.get(name)
    }
    for name, known in (("zone", held.zones), ("assembly", held.recipes), ("subcontractor", held.subcontractors)):
        if given.get(name) and given[name] not in dict(known):
            raise BadValue("Choose one of the list.", field=name)
    at = values.get("visit") or 0
    if at and at not in {one.after_days for one in held.visits}:
        raise BadValue("Choose one of the visits.", field="visit")
    return {"what": "", **given, "visit": at, "covered": bool(values.get("covered"))}


def settle_call(office: Office, view: Sheet, call_id: UUID, values: Mapping[str, Any], order: Order) -> Applied | None:
    """What a call took: hours, money, the day it was done, whether the firm bears it. Raises: NotFound, BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = _call(view, call_id)
    done = values.get("done_on")
    if done:
        refuse_day(done, view.today, not_before=one.day)
    fields: dict[str, Any] = {
        "quarters": values.get("quarters") or 0,
        "cents": values.get("cents") or 0,
        "done_on": done,
        "words": values.get("words") or one.words,
        "covered": bool(values.get("covered")),
    }
    refuse_senseless(replace(one, **fields))
    edit = changed("warranty_call", call_id, view.opened.version_read(order, "warranty_call", call_id), fields)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=f"Warranty call: {one.what}"[:120]))


def answer(office: Office, view: Sheet, call_id: UUID, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Answer a call, or change the answer. Of what the client sent from their device it stands on their page, too.

    Raises: NotFound; BadValue without words.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    one, words = _call(view, call_id), " ".join((values.get("answer") or "").split())
    if not words:
        raise BadValue("Type the answer.", field="answer")
    fields: dict[str, Any] = {"answer": words, "answered_on": view.today}
    if values.get("settles"):
        fields["done_on"] = view.today
    edit = changed("warranty_call", call_id, view.opened.version_read(order, "warranty_call", call_id), fields)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=f"Answered: {one.what}"[:120]))


def take_out(office: Office, view: Sheet, call_id: UUID, order: Order) -> Applied | None:
    """Take out a call that was written by mistake. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = _call(view, call_id)
    edits = jobs.removal(view.opened, "warranty_call", call_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Taken out: {one.what}"[:120]))


def set_visit(office: Office, view: Sheet, after_days: int, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Move a visit, or say that it was made. Raises: NotFound, BadValue beside the day."""
    if jobs.is_saved(office, order.change_id):
        return None
    visit = warranty(office, view).visit(after_days)
    day, done = values.get("day") or visit.day, values.get("done_on")
    refuse_moving(visit, day)
    if done:
        refuse_day(done, view.today)
    fields = {"day": day, "done_on": done, "words": values.get("words") or ""}
    what = f"Visit after {after_days} days" + (" made" if done else "")
    if visit.thing:
        edit = changed("warranty_visit", visit.thing.id, view.version("warranty_visit", visit.thing.id), fields)
    else:
        told: dict[str, Any] = {"said_by": office.who(), "said_at": office.clock(), **fields}
        edit = made("warranty_visit", WarrantyVisit(id=uuid5(order.change_id, "visit"), after_days=after_days, **told))
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=what))


def _call(view: Sheet, call_id: UUID) -> WarrantyCall:
    found = next((one for one in view.job.warranty_calls if one.id == call_id), None)
    if found is None:
        raise NotFound("This call is not there (any more).")
    return found


def explain_warranty(office: Office, view: Sheet, figure: str) -> Trace:
    """`warranty:spent`, `warranty:left`, `warranty:call:ID`. Raises: NotFound."""
    held, currency = warranty(office, view), view.basis.firm.currency
    what, _, rest = figure.partition(":")
    spent = explain_spent(held.costs, held.per_hour, currency)
    if what == "spent":
        return spent
    if what == "left":
        reserve = Trace(
            label="Warranty reserve",
            expression="share of the direct cost, in the price",
            filled="",
            result=held.reserve.reserved_cents / 100,
            unit=currency,
        )
        told = "reserve − spent"
        left = held.reserve.left_cents / 100
        return Trace(label="Left", expression=told, filled="", result=left, unit=currency, steps=(reserve, spent))
    one = next((one for one in held.costs if what == "call" and str(one.call.id) == rest), None)
    if one is None:
        raise NotFound("This figure is not part of the warranty any more. Open the page again.")
    return explain_call(one, held.per_hour, currency)


@dataclass(frozen=True, slots=True, kw_only=True)
class DueVisit:
    """A visit that is due in one of the firm's jobs."""

    job: rows.HandedOverRow
    after_days: int
    day: date
    late: bool


def due(office: Office) -> tuple[DueVisit, ...]:
    """The visits that are overdue or due within a week, over all jobs, the earliest first."""
    today = today_of(office)
    return tuple(one for one in _ahead(office, today) if one.day <= today + SOON)


def _ahead(office: Office, today: date) -> Sequence[DueVisit]:
    """Every visit that was not made."""
    with office.database.read() as connection:
        over = rows.handed_over_jobs(connection, office.firm_id)
        typed = rows.typed_visits(connection, office.firm_id) if over else {}
    days = care_lists(office.settings.library).visits if over else ()
    found = []
    for job in over:
        for after in days:
            told = typed.get((job.job_id, after))
            day = told.day if told else job.day + timedelta(days=after)
            if not (told and told.done):
                found.append(DueVisit(job=job, after_days=after, day=day, late=day < today))
    return sorted(found, key=lambda one: (one.day, one.job.number))


def waiting_clients(office: Office) -> list[rows.WaitingClient]:
    """What clients sent from their pages and nobody answered or settled, the oldest first."""
    with office.database.read() as connection:
        return rows.waiting_clients(connection, office.firm_id)


def calendar_visits(office: Office) -> list[CalendarDay]:
    """The visits ahead as days of a calendar, by town and number of the job: nothing of the client."""
    return [
        CalendarDay(
            key=sha(one),
            title=f"{f'{one.job.town} {one.job.number}' if one.job.town else f'Job {one.job.number}'}: "
            f"visit {one.after_days} days after hand-over",
            first=one.day,
            last=one.day,
        )
        for one in _ahead(office, today_of(office))
    ]


def sha(one: DueVisit) -> str:
    """The same key for the same visit every time."""
    return uuid5(UUID(one.job.job_id), f"visit {one.after_days}").hex
