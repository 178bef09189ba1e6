"""Plants placed one by one on the plan: dragged, typed, taken out. They are told by their row and place in it."""

from dataclasses import replace
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData

from app.services import placed_plants
from app.web.access import OfficeHere
from app.web.forms.drawn import feet
from app.web.forms.fields import Field, Parsed, focus_of, length, order_of, read, version_of
from app.web.forms.saving import Saved, save_form
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/plan")
DRAGGED: tuple[Field, ...] = (replace(feet("x", "East"), required=True), replace(feet("y", "North"), required=True))
TYPED: tuple[Field, ...] = (
    length("x", "Right of the datum", required=True, signed=True),
    length("y", "Up from the datum", required=True, signed=True),
)


@router.post("/drawn/plant/{row_id}/{place}")
async def drag_plant(request: Request, office: OfficeHere, job_id: UUID, row_id: UUID, place: int) -> Response:
    """A plant dragged to another place."""
    form = await request.form()
    saved = _moved(office, job_id, row_id, place, read(form, DRAGGED, office.firm(), whole=True), form)
    return show(request, office, job_id, "plan", focus=placed_plants.key_of(row_id, place), saved=saved)


@router.post("/plant/{row_id}/{place}")
async def type_plant(request: Request, office: OfficeHere, job_id: UUID, row_id: UUID, place: int) -> Response:
    """Where a plant stands, typed."""
    form = await request.form()
    saved = _moved(office, job_id, row_id, place, read(form, TYPED, office.firm(), whole=True), form)
    return show(request, office, job_id, "plan", focus=placed_plants.key_of(row_id, place), saved=saved)


def _moved(office: OfficeHere, job_id: UUID, row_id: UUID, place: int, parsed: Parsed, form: FormData) -> Saved[None]:
    order, version = order_of(form, "Plant"), version_of(form)
    return save_form(
        parsed, lambda: placed_plants.move_plant(office, job_id, row_id, place, parsed.values, version, order)
    )


@router.post("/plant/{row_id}/{place}/remove")
async def take_plant_out(request: Request, office: OfficeHere, job_id: UUID, row_id: UUID, place: int) -> Response:
    """A plant taken out; undo brings it back."""
    form = await request.form()
    order, version = order_of(form, ""), version_of(form)
    saved = save_form(Parsed(), lambda: placed_plants.take_plant_out(office, job_id, row_id, place, version, order))
    return show(request, office, job_id, "plan", focus=focus_of(form), saved=saved)
