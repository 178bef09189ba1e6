"""The pattern of a zone on the plan: set it, take it off, look for a better start line."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.plan.laying import BORDERS, CORNERS, ENDS, PATTERNS
from app.services import border_sides, laying
from app.web.access import OfficeHere
from app.web.forms.fields import choice, count, focus_of, keys, length, order_of, read, text, version_of, yes
from app.web.forms.outlines import degrees
from app.web.forms.saving import save_form, save_form_async
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/plan/work/{work_id}")

PATTERN = (
    choice("pattern", "Pattern", PATTERNS),
    degrees("angle", "Direction", empty=None),
    length("joint", "Joint"),
    choice("border", "Border", BORDERS),
    text("border_material", "Border of"),
    choice("second", "Second course", BORDERS),
    text("second_material", "Second course of"),
    text("second_size", "Second size of"),
    text("third_size", "Third size of"),
    choice("corners", "Corners", CORNERS),
    keys("along", "Sides of the border"),
    choice("ends", "Ends of the border", ENDS),
    yes("inner", "Around openings too"),
    length("start_x", "Start, to the right of the datum", signed=True),
    length("start_y", "Start, up from the datum", signed=True),
)


@router.post("/pattern")
async def set_pattern(request: Request, office: OfficeHere, job_id: UUID, work_id: UUID) -> Response:
    """The pattern as typed; an empty one takes it off."""
    form = await request.form()
    parsed = read(form, PATTERN, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: laying.set_laying(office, job_id, work_id, parsed.values, version_of(form), order_of(form, "Pattern")),
    )
    return show(request, office, job_id, "plan", focus=focus_of(form), saved=saved)


SIDE = (count("number", "Side", least=1, most=999, required=True), yes("on", "Border along it"))


@router.post("/border-side")
async def set_border_side(request: Request, office: OfficeHere, job_id: UUID, work_id: UUID) -> Response:
    """The border runs along one side, or not."""
    form = await request.form()
    parsed = read(form, SIDE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: border_sides.set_side(
            office, job_id, work_id, parsed.values, version_of(form), order_of(form, "Border")
        ),
    )
    return show(request, office, job_id, "plan", focus=focus_of(form), saved=saved)


@router.post("/start")
async def look_for_start(request: Request, office: OfficeHere, job_id: UUID, work_id: UUID) -> Response:
    """A better start line, looked for in the worker."""
    form = await request.form()
    parsed = read(form, (), office.firm())
    saved = await save_form_async(
        parsed, lambda: laying.look_for_start(office, job_id, work_id, order_of(form, "Start line"))
    )
    return show(request, office, job_id, "plan", focus=focus_of(form), saved=saved)
