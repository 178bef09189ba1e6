"""The crew's sheets of the day: every day ahead, one day for all or for one person, checks signed for by name."""

from datetime import date
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import NotFound
from app.domain.people import LANGUAGES
from app.interchange.building_stages import building_stages
from app.services import day_said
from app.services.build import build_sheet
from app.services.day_sheets import crew_days
from app.services.field import field_view
from app.services.waiting import free_on
from app.web.access import OfficeHere
from app.web.crew_language import A_YEAR, LANGUAGE, language_of
from app.web.day_screens import Asked, day_of_address, day_on_paper, day_screen
from app.web.forms.crew import CHECK
from app.web.forms.fields import Parsed, order_of, read
from app.web.forms.saving import Saved, save_form
from app.web.reached import keep_cookie
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/field")


@router.post("/language")
async def choose_language(request: Request) -> Response:
    """In which language this device shows the pages of the yard."""
    form = await request.form()
    language, back = str(form.get("language", "")), str(form.get("back", ""))
    if language not in LANGUAGES:
        raise NotFound("The pages of the yard are in English and in Spanish.")
    answer = go(request, back if back.startswith("/field") and "//" not in back else "/field")
    keep_cookie(request, answer, LANGUAGE, language, seconds=A_YEAR)
    return answer


@router.get("/{job_id}/days")
async def show_days(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The days on which anything is built."""
    view = field_view(office, job_id)
    stands = build_sheet(office, view)
    context = {
        "job": view.job,
        "days": crew_days(office, view),
        "stages": building_stages().by_key,
        "letters": {str(zone.id): zone.letter for zone in view.job.zones},
        "today": view.today,
        "free_on": free_on(stands.holds),
        "is_signed": stands.stands.signed,
        "home": f"/field/{job_id}",
    }
    return page(request, "field/days.html", context)


@router.get("/{job_id}/days/{day}.pdf")
async def day_paper(request: Request, office: OfficeHere, job_id: UUID, day: str) -> Response:
    """A day on paper, for all."""
    asked = Asked(day=day_of_address(day), language=language_of(request), home=f"/field/{job_id}")
    return await day_on_paper(request, office, field_view(office, job_id), asked)


@router.get("/{job_id}/days/{day}")
async def show_day(request: Request, office: OfficeHere, job_id: UUID, day: str) -> Response:
    """A day for all."""
    return _show(request, office, job_id, day_of_address(day), "")


@router.get("/{job_id}/days/{day}/{person}.pdf")
async def own_paper(request: Request, office: OfficeHere, job_id: UUID, day: str, person: str) -> Response:
    """A day on paper, for one."""
    asked = Asked(day=day_of_address(day), person=person, home=f"/field/{job_id}")
    return await day_on_paper(request, office, field_view(office, job_id), asked)


@router.get("/{job_id}/days/{day}/{person}")
async def show_own_day(request: Request, office: OfficeHere, job_id: UUID, day: str, person: str) -> Response:
    """A day of one person, in their language."""
    return _show(request, office, job_id, day_of_address(day), person)


@router.post("/{job_id}/days/{day}/check")
async def sign_check(request: Request, office: OfficeHere, job_id: UUID, day: str) -> Response:
    """Sign for a check by name."""
    form, view, on = await request.form(), field_view(office, job_id), day_of_address(day)
    parsed = read(form, CHECK, office.firm(), whole=True)
    sent, person = parsed.values, str(form.get("person", ""))[:60]
    saved = save_form(
        parsed,
        lambda: day_said.sign_check(
            office, view, on, sent["part"], sent["words"], sent["other"] or sent["name"], order_of(form, "Check")
        ),
    )
    there = f"/field/{job_id}/days/{on}" + (f"/{person}" if person else "")
    return go(request, there) if saved.ok else _show(request, office, job_id, on, person, saved)


@router.post("/{job_id}/days/{day}/check/{check_id}/remove")
async def take_back(request: Request, office: OfficeHere, job_id: UUID, day: str, check_id: UUID) -> Response:
    """What was signed for by mistake."""
    form, view, on = await request.form(), field_view(office, job_id), day_of_address(day)
    saved = save_form(Parsed(), lambda: day_said.take_back(office, view, check_id, order_of(form, "Not checked")))
    person = str(form.get("person", ""))[:60]
    there = f"/field/{job_id}/days/{on}" + (f"/{person}" if person else "")
    return go(request, there) if saved.ok else _show(request, office, job_id, on, person, saved)


def _show(
    request: Request, office: OfficeHere, job_id: UUID, day: date, person: str, saved: Saved[Any] = NOTHING_SENT
) -> Response:
    asked = Asked(day=day, person=person, language=language_of(request), home=f"/field/{job_id}")
    return day_screen(request, office, field_view(office, job_id), asked, saved)
