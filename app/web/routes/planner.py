"""The phase planner: budgets, days and wishes typed, a plan shown with its price, taken as one change."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.phasing.planner import MOST_PHASES, Asked, PhaseAsked, Want
from app.services import phase_planner
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Field, Parsed, choice, count, day, money, order_of, read
from app.web.forms.saving import save_form, save_form_async
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/planner")
NUMBERS = range(1, MOST_PHASES + 1)
WANTS = (
    (Want.MUST.value, "must have"),
    (Want.NICE.value, "nice to have"),
    (Want.WAIT.value, "can wait"),
)


def fields_of(view: Sheet) -> tuple[Field, ...]:
    """What the page asks: how many phases, budget and first day of each, how much each zone is wanted."""
    phases = [
        one
        for number in NUMBERS
        for one in (money(f"budget_{number}", f"Budget of phase {number}"), day(f"start_{number}", f"Start {number}"))
    ]
    words = [value for value, _ in WANTS]
    wants = [choice(f"want_{zone.id}", zone.title or zone.letter, words) for zone in view.job.zones]
    return (count("count", "How many phases", least=1, most=MOST_PHASES, required=True), *phases, *wants)


def asked_from(view: Sheet, values: Mapping[str, Any]) -> Asked:
    """What was typed, as what the planner is asked."""
    phases = tuple(
        PhaseAsked(budget_cents=values.get(f"budget_{number}"), start=values.get(f"start_{number}"))
        for number in range(1, values["count"] + 1)
    )
    said = {str(zone.id): values.get(f"want_{zone.id}") for zone in view.job.zones}
    return Asked(phases=phases, wants={key: Want(value) for key, value in said.items() if value})


@router.get("")
async def show_planner(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What the planner is asked, and the plan that was made."""
    return show(request, office, job_id, "planner")


@router.post("/plan")
async def make_plan(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Plan the phases; nothing is changed by it."""
    form = await request.form()
    view = sheet(office, job_id)
    parsed = read(form, fields_of(view), office.firm(), whole=True)
    saved = await save_form_async(
        parsed, lambda: phase_planner.make_plan(office, view, asked_from(view, parsed.values))
    )
    return show(request, office, job_id, "planner", focus="plan", saved=saved)


@router.post("/take")
async def take_plan(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The plan made the job's own."""
    form = await request.form()
    view = sheet(office, job_id)
    saved = save_form(Parsed(), lambda: phase_planner.take_plan(office, view, order_of(form, "")))
    return show(request, office, job_id, "phases" if saved.ok else "planner", saved=saved)


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    asked = phase_planner.asked_of(office, view)
    shown = asked.phases[:MOST_PHASES]
    return {
        "asked": asked,
        "rows": [(number, shown[number - 1] if number <= len(shown) else PhaseAsked()) for number in NUMBERS],
        "wants": phase_planner.wants(view, asked),
        "want_options": WANTS,
        "want_words": dict(WANTS),
        "plan": phase_planner.phase_plan(office, view),
    }


register(SheetPage(key="planner", title="Plan the phases", template="planner/page.html", give=_give, part_of="phases"))
