"""What happened on a job, written down by the crew: weather, delays, visitors, inspections, receipts with a picture."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from urllib.parse import quote
from uuid import UUID, uuid5

from app.db.files import FileStore
from app.domain.errors import BadValue, NotFound
from app.domain.job import JOB_THINGS, RESULTS, WHOLE_JOB, LoggedDelay, LoggedReceipt, Photo
from app.domain.joblog.daily_log import hours_text
from app.domain.joblog.delays import WHOSE, DelaySum, days_text, days_to_ask_for, delay_sums
from app.domain.joblog.happenings import (
    KINDS,
    Happening,
    LogLists,
    explain_receipt,
    explain_receipts,
    happened,
    receipts_of,
    refuse_senseless,
)
from app.domain.takeoff.trace import Trace
from app.interchange.log_lists import log_lists
from app.services import jobs
from app.services.changes import Applied
from app.services.daily_log import refuse_day
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.scheduling import InspectionRow, inspections_of, schedule_of
from app.services.sheets import Sheet
from app.worker import run_in_worker

MOST_WHAT = 200  # characters
WHAT: Mapping[str, str] = {
    "logged_weather": "Weather",
    "logged_delay": "Delay",
    "logged_visit": "Visit",
    "logged_receipt": "Receipt",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneReceipts:
    """The receipts of one zone, or of the job as a whole."""

    key: str
    letter: str
    title: str
    receipts: tuple[LoggedReceipt, ...]
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Happenings:
    """What happened on a job as the pages show it."""

    lists: LogLists
    today: date
    days: tuple[tuple[date, tuple[Happening, ...]], ...]
    delays: tuple[DelaySum, ...]
    asked: tuple[DelaySum, ...]  # of which a change order may ask for days
    receipts: tuple[ZoneReceipts, ...]
    receipt_cents: int
    zone_choices: tuple[tuple[str, str], ...]
    whose: Mapping[str, str]
    bought: tuple[tuple[str, str], ...] = ()  # materials that the work of this job asks for, by key, with their titles
    inspections: tuple[InspectionRow, ...] = ()  # of the schedule

    @property
    def sky_choices(self) -> tuple[tuple[str, str], ...]:
        """The kinds of weather."""
        return tuple((one.key, one.title) for one in self.lists.skies)

    @property
    def cause_choices(self) -> tuple[tuple[str, str], ...]:
        """The causes of delay."""
        return tuple((one.key, one.title) for one in self.lists.causes)

    @property
    def result_choices(self) -> tuple[tuple[str, str], ...]:
        """What may come of an inspection."""
        return tuple((one, one.capitalize()) for one in RESULTS)

    def title_of(self, material: str) -> str:
        """What was bought, as it is called here."""
        return dict(self.bought).get(material, material)

    def kind_of(self, one: Happening) -> str:
        """The kind of thing it is."""
        return KINDS[type(one)]

    def days_lost(self, one: LoggedDelay) -> str:
        """Days as they are typed."""
        return days_text(one.half_days)

    def hours_waited(self, one: LoggedDelay) -> str:
        """Hours as they are typed."""
        return hours_text(one.quarters)


def happenings(office: Office, view: Sheet) -> Happenings:
    """What happened on a job."""
    job, lists = view.job, log_lists(office.settings.library)
    named = [(str(zone.id), zone.letter, zone.title) for zone in job.zones]
    groups = [(key, letter, title, receipts_of(job.logged_receipts, key)) for key, letter, title in named]
    gone = {one.zone for one in job.logged_receipts} - {key for key, _, _ in named}
    rest = tuple(one for one in receipts_of(job.logged_receipts) if one.zone in gone)
    groups.append((WHOLE_JOB, "", "", rest))
    return Happenings(
        lists=lists,
        today=view.today,
        days=happened(job),
        delays=delay_sums(job.logged_delays, lists.causes),
        asked=days_to_ask_for(job.logged_delays, lists.causes),
        receipts=tuple(
            ZoneReceipts(key=key, letter=letter, title=title, receipts=held, cents=sum(one.cents for one in held))
            for key, letter, title, held in groups
            if held
        ),
        receipt_cents=sum(one.cents for one in job.logged_receipts),
        whose=WHOSE,
        bought=materials_of(view),
        inspections=inspections_ahead(office, view),
        zone_choices=(
            (WHOLE_JOB, "The whole job"),
            *((key, f"{letter} {title}".strip()) for key, letter, title in named),
        ),
    )


def materials_of(view: Sheet) -> tuple[tuple[str, str], ...]:
    """The materials that the work of a job asks for, as a receipt may name one."""
    asked = {one.key for one in view.estimate.requirements if one.kind == "material"}
    known = ((key, view.basis.materials[key].title) for key in asked if key in view.basis.materials)
    return tuple(sorted(known, key=lambda one: one[1]))


def written_at(view: Sheet, key: str) -> str:
    """Where the result of an inspection of the schedule is written down."""
    return f"/field/{view.job.head.id}/day?inspects={quote(key)}#visit"


def inspections_ahead(office: Office, view: Sheet) -> tuple[InspectionRow, ...]:
    """The inspections of the schedule; none where activities wait for one another."""
    try:
        return inspections_of(schedule_of(office, view))
    except BadValue:
        return ()


def delay_days(office: Office, view: Sheet, since: date | None = None) -> tuple[DelaySum, ...]:
    """Delays whose days a change order may ask for, of those after a day (None: of the whole job)."""
    return days_to_ask_for(view.job.logged_delays, log_lists(office.settings.library).causes, since)


def write_down(office: Office, view: Sheet, kind: str, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Write down what happened; sent twice, it is the same change. Raises: BadValue beside what is missing."""
    new = _made(office, view, kind, values, order)
    if jobs.is_saved(office, order.change_id):
        return None
    return jobs.save(office, view.job.head.id, (made(kind, new),), replace(order, what=WHAT[kind]))


async def write_receipt(
    office: Office, view: Sheet, values: Mapping[str, Any], picture: bytes, order: Order
) -> Applied | None:
    """Write a receipt down, with its picture where there is one. Raises: BadValue, also for what is no picture."""
    new = _made(office, view, "logged_receipt", values, order)
    if jobs.is_saved(office, order.change_id):
        return None
    edits = []
    if picture:
        clean = await run_in_worker("picture", picture)
        photo = Photo(
            id=uuid5(order.change_id, "photo"),
            file=FileStore(office.settings.files).keep(clean),
            caption="Receipt",
            when="receipt",
            taken=values["day"],
        )
        edits.append(made("photo", photo))
        new = replace(new, photo_id=photo.id)
    edits.append(made("logged_receipt", new))
    return jobs.save(office, view.job.head.id, tuple(edits), replace(order, what=WHAT["logged_receipt"]))


def _made(office: Office, view: Sheet, kind: str, values: Mapping[str, Any], order: Order) -> Any:
    refuse_day(values["day"], view.today)
    lists = log_lists(office.settings.library)
    given = dict(values)
    if kind == "logged_delay" and not given.get("whose"):
        given["whose"] = lists.cause(given["cause"]).whose
    if given.get("material") and given["material"] not in dict(materials_of(view)):
        raise BadValue("Choose one of the list.", field="material")
    if given.get("inspects"):
        given |= _inspection(office, view, given)
    own: dict[str, Any] = {"id": uuid5(order.change_id, kind), "said_by": office.who(), "said_at": office.clock()}
    new = JOB_THINGS[kind][0](**given, **own)
    refuse_senseless(new, lists)  # type: ignore[arg-type]
    return new


def _inspection(office: Office, view: Sheet, given: Mapping[str, Any]) -> Mapping[str, Any]:
    """What stands beside an inspection of the schedule: that it was one, and of what, where nothing else is typed."""
    row = next((one for one in inspections_ahead(office, view) if one.inspected.key == given["inspects"]), None)
    if row is None:
        raise BadValue(
            "This inspection is not planned (any more). Choose another, or say what it was.", field="inspects"
        )
    return {"inspection": True, "what": given.get("what") or row.title[:MOST_WHAT]}


def take_back(office: Office, view: Sheet, kind: str, thing_id: UUID, order: Order) -> Applied | None:
    """Take out what was written by mistake, a receipt with its picture. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    there = getattr(view.job, JOB_THINGS[kind][1]) if kind in WHAT else ()
    gone = next((one for one in there if one.id == thing_id), None)
    if gone is None:
        raise NotFound("This is not there any more.")
    edits = jobs.removal(view.opened, kind, thing_id)
    if kind == "logged_receipt" and gone.photo_id and any(one.id == gone.photo_id for one in view.job.photos):
        edits = (*edits, *jobs.removal(view.opened, "photo", gone.photo_id))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"{WHAT[kind]} taken out"))


def explain_happened(view: Sheet, what: str, rest: str) -> Trace | None:
    """`receipts:all`, `receipts:ZONE` and `receipt:ID`; None for what is not there (any more)."""
    held, currency = view.job.logged_receipts, view.basis.firm.currency
    if what == "receipt":
        one = next((one for one in held if str(one.id) == rest), None)
        return explain_receipt(one, currency) if one else None
    zones = {str(zone.id) for zone in view.job.zones}
    found = receipts_of(held)
    if rest != "all":
        found = tuple(one for one in found if (one.zone if one.zone in zones else WHOLE_JOB) == rest)
    return explain_receipts(found, currency) if found and what == "receipts" else None
