"""Doors and gates: typed on the site sheet, drawn and dragged on the plan."""

from dataclasses import replace
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData

from app.services import openings
from app.web.access import OfficeHere
from app.web.forms.drawn import feet
from app.web.forms.fields import Parsed, focus_of, length, order_of, read, text, thing, version_of
from app.web.forms.saving import Saved, save_form
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}")

NAME = text("title", "What it is", required=True)
OPENING = (
    NAME,
    length("x", "Right of the datum", signed=True, empty=0.0),
    length("y", "Up from the datum", signed=True, empty=0.0),
    length("width", "Width", empty=openings.USUAL_WIDTH),
    length("level", "Threshold, above the datum", signed=True),
    thing("mark_id", "Threshold by the rod on"),
)
KNOWN = (NAME, length("width", "Width", required=True))
DRAGGED = (replace(feet("x", "East"), required=True), replace(feet("y", "North"), required=True))


@router.post("/site/opening/new")
async def add_opening(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A door or gate, typed."""
    form = await request.form()
    parsed = read(form, OPENING, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: openings.add_opening(office, job_id, parsed.values, version_of(form), order_of(form, "Door"))
    )
    return show(request, office, job_id, "site", focus="opening:new", saved=saved)


@router.post("/{sheet}/opening/{place}/remove")
async def remove_opening(request: Request, office: OfficeHere, job_id: UUID, sheet: str, place: int) -> Response:
    """A door or gate taken out, on the site sheet or on the plan."""
    form = await request.form()
    saved = save_form(
        read(form, (), office.firm()),
        lambda: openings.remove_opening(office, job_id, place, version_of(form), order_of(form, "Door")),
    )
    return show(request, office, job_id, "plan" if sheet == "plan" else "site", focus=focus_of(form), saved=saved)


@router.post("/site/opening/{place}")
async def change_opening(request: Request, office: OfficeHere, job_id: UUID, place: int) -> Response:
    """A door or gate: where it is, how wide, how high its threshold."""
    form = await request.form()
    saved = _changed(office, job_id, place, read(form, OPENING, office.firm()), form)
    return show(request, office, job_id, "site", focus=f"{openings.FOCUS}{place}", saved=saved)


@router.post("/plan/opening/{place}")
async def name_opening(request: Request, office: OfficeHere, job_id: UUID, place: int) -> Response:
    """What a door is called and how wide it is, beside the drawing."""
    form = await request.form()
    saved = _changed(office, job_id, place, read(form, KNOWN, office.firm()), form)
    return show(request, office, job_id, "plan", focus=f"{openings.FOCUS}{place}", saved=saved)


def _changed(office: OfficeHere, job_id: UUID, place: int, parsed: Parsed, form: FormData) -> Saved[None]:
    order = order_of(form, "Door")
    return save_form(
        parsed, lambda: openings.change_opening(office, job_id, place, parsed.values, version_of(form), order)
    )


@router.post("/plan/drawn/opening/{place}")
async def drag_opening(request: Request, office: OfficeHere, job_id: UUID, place: int) -> Response:
    """A door dragged along its wall, or into another one."""
    form = await request.form()
    parsed = read(form, DRAGGED, office.firm(), whole=True)
    order, version = order_of(form, "Door"), version_of(form)
    saved = save_form(
        parsed,
        lambda: openings.drag_opening(office, job_id, place, (parsed.values["x"], parsed.values["y"]), version, order),
    )
    return show(request, office, job_id, "plan", focus=f"{openings.FOCUS}{place}", saved=saved)
