"""A finished yard as its client sees it: care, what lies in the ground, visits; and what they ask from their device."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from app.documents.plan_drawing import plan_svg
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.handover.as_built import AsBuilt
from app.domain.handover.care import CareSheet
from app.domain.handover.handing_over import handed_over_of
from app.domain.handover.warranty import Visit, visits
from app.domain.job import WHOLE_JOB, WarrantyCall
from app.interchange.after_lists import care_lists
from app.services import jobs
from app.services.as_built import as_built_of
from app.services.build import build_sheet
from app.services.care import care_of
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.own_photo import with_photo
from app.services.photos import Picture, read_small
from app.services.sheets import Sheet

PLAN_WIDTH = 760  # px
MOST_OPEN = 20  # things asked and not settled: more are told at a visit or by phone


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientsYard:
    """What the client is shown of a yard that is handed over. Nothing here holds money or a note of the firm's."""

    handed_over: date
    today: date
    visits: tuple[Visit, ...]
    care: CareSheet
    built: AsBuilt
    datum: str
    zones: tuple[tuple[str, str], ...]  # where something may be, the whole yard first
    asked: tuple[WarrantyCall, ...]  # from the client's own device, the newest first

    @property
    def to_come(self) -> tuple[Visit, ...]:
        """The visits that are still ahead: neither made nor past."""
        return tuple(one for one in self.visits if one.done_on is None and one.day >= self.today)

    def place(self, call: WarrantyCall) -> str:
        """Where something that was asked is; empty for the whole yard."""
        return "" if call.zone == WHOLE_JOB else dict(self.zones).get(call.zone, "")


def clients_yard(office: Office, view: Sheet) -> ClientsYard:
    """A finished yard. Raises: Refused before it is handed over."""
    over = handed_over_of(view.job)
    if over is None:
        raise Refused("The yard is not handed over yet.")
    zones = build_sheet(office, view).stands.job.zones
    asked = (one for one in view.job.warranty_calls if one.asked_by)
    return ClientsYard(
        handed_over=over.day,
        today=view.today,
        visits=visits(over.day, care_lists(office.settings.library).visits, view.job.warranty_visits),
        care=care_of(office, view),
        built=as_built_of(office, view),
        datum=view.job.site.datum,
        zones=((WHOLE_JOB, "The whole yard"), *((str(one.id), f"{one.letter} {one.title}".strip()) for one in zones)),
        asked=tuple(sorted(asked, key=lambda one: (one.day, str(one.said_at)), reverse=True)),
    )


def as_built_drawing(view: Sheet) -> str:
    """The plan with every line in the ground, as it is printed for the client."""
    return plan_svg(view.job, view.basis, width_px=PLAN_WIDTH, face="print")


async def ask(office: Office, view: Sheet, values: Mapping[str, Any], picture: bytes, order: Order) -> Applied | None:
    """Something is wrong, to be seen at a visit or before; or a question. It stands among the calls at the office.

    A picture that comes with it is drawn anew, as every one.

    Raises: BadValue beside what is missing; Refused before the hand-over, and where much stands open already.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    yard = clients_yard(office, view)
    what = " ".join((values.get("what") or "").split())
    if not what:
        raise BadValue("Type what is wrong, or what you would like to know.", field="what")
    zone, at = values.get("zone") or WHOLE_JOB, int(values.get("visit") or 0)
    if zone not in dict(yard.zones):
        raise BadValue("Choose one of the list.", field="zone")
    question = values.get("kind") == "question"
    if at and (question or at not in {one.after_days for one in yard.to_come}):
        raise BadValue("Choose one of the visits that are still to come.", field="visit")
    _refuse_more(yard.asked)
    new = WarrantyCall(
        id=uuid5(order.change_id, "asked"),
        day=view.today,
        what=what,
        zone=zone,
        cause="other",  # nobody of the firm has looked at it
        visit=at,
        question=question,
        asked_by=view.job.client.name or "the client",
        said_by=office.who(),
        said_at=office.clock(),
    )
    photo, edits = await with_photo(office, picture, order, caption=what, when="after", day=view.today)
    said = "A question of the client" if question else "The client asks"
    edits = (*edits, made("warranty_call", replace(new, photo_id=photo)))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"{said}: {what}"[:120]))


async def read_own_photo(office: Office, job_id: UUID, call_id: UUID) -> Picture:
    """The picture of something the client sent. Raises: NotFound for any other picture of the job."""
    calls = jobs.open_job(office, job_id).job.warranty_calls
    photo = next((one.photo_id for one in calls if one.id == call_id and one.asked_by), None)
    if photo is None:
        raise NotFound("There is no such picture (any more).")
    return await read_small(office, job_id, photo)


def _refuse_more(asked: Sequence[WarrantyCall]) -> None:
    if sum(1 for one in asked if one.done_on is None) >= MOST_OPEN:
        raise Refused(f"{MOST_OPEN} things stand open already. Call the office for anything more, please.")
