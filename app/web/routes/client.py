"""The client: who and where, what they ask for, budget and dates, the early range, the design agreement."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.choices import option_title
from app.domain.job import Need
from app.services import begun_plan, first_call
from app.services.largest import largest_of
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of
from app.web.forms.saving import save_form
from app.web.forms.things import STAGES
from app.web.rendering import go, handed_out
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/client")


@router.get("")
async def show_client(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The client sheet."""
    return show(request, office, job_id, "client", focus=focus)


@router.get("/early-range.pdf")
async def early_page(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The early range as one printed page."""
    made = await first_call.early_page(office, sheet(office, job_id))
    return handed_out(request, made, "early-range.pdf", "application/pdf")


@router.post("/begin-plan")
async def begin_plan(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Zones made from the ticks of the first call; on to the plan."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: begun_plan.begin_plan(office, job_id, order_of(form, "")))
    if saved.ok:
        return go(request, f"/jobs/{job_id}/plan")
    return show(request, office, job_id, "client", focus="early", saved=saved)


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> dict[str, Any]:
    job = view.job
    return {
        "musts": [_need(office, view, need) for need in job.needs if need.must],
        "likes": [_need(office, view, need) for need in job.needs if not need.must],
        "suggestions": first_call.suggestions(office, view),
        "early": first_call.first_call(office, view),
        "largest": largest_of(office, view, early=True),
        "stages": [(stage.value, words) for stage, words in STAGES.items()],
        "begun": bool(job.zones),
        "new_need": focus == "need:new",
    }


def _need(office: Office, view: Sheet, need: Need) -> dict[str, Any]:
    """A need with the zones that meet it, those its words speak of first."""
    fits = first_call.fitting(office, view, need)
    zones = sorted(view.job.zones, key=lambda zone: zone.id not in fits)
    return {
        "need": need,
        "met_by": [zone for zone in view.job.zones if zone.id in need.zone_ids],
        "zones": [(str(zone.id), f"{zone.letter} {zone.title}") for zone in zones],
        "chosen": [str(one) for one in need.zone_ids],
        "options": [(str(one.id), option_title(view.job, one)) for one in view.job.options],
        "ticked": [str(one) for one in need.option_ids],
        "focus": f"need:{need.id}",
    }


register(SheetPage(key="client", title="Client", template="client/page.html", give=_give))
