"""The office's page of the days: what is built on each, who is on it, what was signed for, sheets to print."""

from datetime import date
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.domain.errors import NotFound
from app.interchange.building_stages import building_stages
from app.services import day_said
from app.services.build import build_sheet
from app.services.day_sheets import DaySheet, crew_days, day_sheet
from app.services.office import Office
from app.services.ready_to_build import ready_to_build
from app.services.sheets import Sheet, sheet
from app.services.waiting import free_on
from app.web.access import OfficeHere
from app.web.day_screens import Asked, day_of_address, day_on_paper
from app.web.forms.crew import ON
from app.web.forms.fields import order_of, read
from app.web.forms.saving import save_form
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/days")


@router.get("")
async def show_days(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The days of the job."""
    return show(request, office, job_id, "days", focus=focus[:20])


@router.post("/{day}/on")
async def put_on(request: Request, office: OfficeHere, job_id: UUID, day: str) -> Response:
    """Who is on a stage of a place from this day on."""
    form, on = await request.form(), day_of_address(day)
    parsed = read(form, ON, office.firm(), whole=True)
    view, sent = sheet(office, job_id), parsed.values
    saved = save_form(
        parsed,
        lambda: day_said.put_on(office, view, on, sent["part"], sent.get("people", ()), order_of(form, "Who is on it")),
    )
    return show(request, office, job_id, "days", focus=str(on), saved=saved)


@router.get("/{day}.pdf")
async def day_paper(request: Request, office: OfficeHere, job_id: UUID, day: str) -> Response:
    """A day on paper, for all."""
    asked = Asked(day=day_of_address(day), home=f"/field/{job_id}")
    return await day_on_paper(request, office, sheet(office, job_id), asked)


@router.get("/{day}/{person}.pdf")
async def own_paper(request: Request, office: OfficeHere, job_id: UUID, day: str, person: str) -> Response:
    """A day on paper, for one, in their language."""
    asked = Asked(day=day_of_address(day), person=person, home=f"/field/{job_id}")
    return await day_on_paper(request, office, sheet(office, job_id), asked)


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> dict[str, Any]:
    known, made = crew_days(office, view), build_sheet(office, view)
    return {
        "days": known,
        "stages": building_stages().by_key,
        "letters": {str(zone.id): zone.letter for zone in view.job.zones},
        "open_day": _open(office, view, focus) if focus else None,
        "today": view.today,
        "free_on": free_on(made.holds),
        "is_signed": made.stands.signed,
        "ready": ready_to_build(office, view, made),
        "crew": office.firm().crew,
        "no_pdf": "" if pdf_available() else NO_PANGO,
    }


def _open(office: Office, view: Sheet, focus: str) -> DaySheet | None:
    """The day whose margin is open; none where nothing is planned on it (any more)."""
    try:
        return day_sheet(office, view, date.fromisoformat(focus))
    except (ValueError, NotFound):
        return None


register(SheetPage(key="days", title="Day sheets", template="build/days.html", give=_give, part_of="build"))
