"""The crew's daily log: tap who, tap the task, tap the hours. No money in any byte."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import daily_log
from app.services.daily_log import Told
from app.services.field import field_view
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of, read
from app.web.forms.log import DONE, HOURS, WHERE
from app.web.forms.saving import Saved, save_form
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/field/{job_id}/log")
BUTTONS = ("0.25", "0.5", "1", "2", "3", "4", "6", "8")  # hours that one tap writes down


@router.get("")
async def show_log(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Tasks of the job, and what is logged of today."""
    return _show(request, office, field_view(office, job_id))


@router.post("/hours")
async def add_hours(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Hours of who is ticked at the task that is tapped."""
    form, view = await request.form(), field_view(office, job_id)
    parsed = read(form, (*HOURS, *WHERE), office.firm(), whole=True)
    saved = save_form(parsed, lambda: daily_log.log_hours(office, view, _told(parsed), order_of(form, "Hours")))
    return go(request, f"/field/{job_id}/log#today") if saved.ok else _show(request, office, view, saved)


@router.post("/done")
async def say_done(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """How far a task is, as the crew lead says it."""
    form, view = await request.form(), field_view(office, job_id)
    parsed = read(form, (*DONE, *WHERE), office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: daily_log.say_done(
            office, view, parsed.values["at"], int(parsed.values["percent"]), order_of(form, "How far it is")
        ),
    )
    return go(request, f"/field/{job_id}/log#done") if saved.ok else _show(request, office, view, saved)


@router.post("/hours/{entry_id}/remove")
async def take_back(request: Request, office: OfficeHere, job_id: UUID, entry_id: UUID) -> Response:
    """Hours that were written by mistake."""
    form, view = await request.form(), field_view(office, job_id)
    saved = save_form(Parsed(), lambda: daily_log.take_back(office, view, entry_id, order_of(form, "Hours taken out")))
    return go(request, f"/field/{job_id}/log#today") if saved.ok else _show(request, office, view, saved)


def _told(parsed: Parsed) -> Told:
    found = parsed.values
    people = (*found.get("people", ()), found["other"])
    return Told(people=people, day=found["day"], quarters=found["hours"], at=parsed.values["at"], words=found["words"])


def _show(request: Request, office: Office, view: Sheet, saved: Saved[Any] = NOTHING_SENT) -> Response:
    context = {
        "log": daily_log.daily_log(office, view),
        "job": view.job,
        "saved": saved,
        "buttons": BUTTONS,
        "home": f"/field/{view.job.head.id}",
    }
    return page(request, "field/log.html", context, status=saved.status)
