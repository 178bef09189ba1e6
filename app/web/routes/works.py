"""Works: place a recipe on a zone, run, feature, edge, existing thing or the job; set its finishes and parameters."""

from uuid import UUID

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.domain.job import PlaceKind
from app.services import parameters, zones
from app.web.access import OfficeHere
from app.web.forms.fields import choice, focus_of, order_as_read, order_of, read, text, thing
from app.web.forms.saving import save_form
from app.web.sheet_pages import known_sheet, show_saved

router = APIRouter(prefix="/jobs/{job_id}/{sheet}/work", dependencies=[Depends(known_sheet)])

NEW_WORK = (
    choice("place", "Where", [place.value for place in PlaceKind], required=True),
    thing("place_id", "On what"),
    text("assembly", "Built as", required=True),
)
AT = text("work", "On which work")  # says beside which form a refusal stands
FINISH = (text("role", "For what", required=True), text("material", "Material"), AT)
PARAMETER = (text("name", "Which", required=True), text("formula", "How much", most=500), AT)


@router.post("/new")
async def add_work(request: Request, office: OfficeHere, job_id: UUID, sheet: str) -> Response:
    """A recipe placed somewhere."""
    form = await request.form()
    parsed = read(form, NEW_WORK, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: zones.add_work(
            office,
            job_id,
            PlaceKind(parsed.values["place"]),
            parsed.values["place_id"],
            parsed.values["assembly"],
            order_of(form, ""),
        ),
    )
    return await show_saved(request, office, job_id, sheet, focus=focus_of(form), saved=saved)


@router.post("/{work_id}/finish")
async def set_finish(request: Request, office: OfficeHere, job_id: UUID, sheet: str, work_id: UUID) -> Response:
    """What fills a role of a work; empty: as the recipe has it."""
    form = await request.form()
    parsed = read(form, FINISH, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: zones.set_finish(
            office, job_id, work_id, parsed.values["role"], parsed.values["material"], order_as_read(form, "")
        ),
    )
    return await show_saved(request, office, job_id, sheet, focus=focus_of(form), saved=saved)


@router.post("/{work_id}/parameter")
async def set_parameter(request: Request, office: OfficeHere, job_id: UUID, sheet: str, work_id: UUID) -> Response:
    """A number of the recipe set for this work; empty: as the recipe has it."""
    form = await request.form()
    parsed = read(form, PARAMETER, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: parameters.set_parameter(
            office, job_id, work_id, parsed.values["name"], parsed.values["formula"], order_as_read(form, "")
        ),
    )
    return await show_saved(request, office, job_id, sheet, focus=focus_of(form), saved=saved)
