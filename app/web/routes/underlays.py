"""Pictures below the plan: taken in, scaled by two known points, moved, shown or hidden, for our face only."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.services import underlays
from app.services.underlays import Known
from app.web.access import OfficeHere
from app.web.forms.drawn import direction, feet
from app.web.forms.fields import length, order_of, read, text, version_of
from app.web.forms.saving import save_form, save_form_async
from app.web.forms.things import FORMS
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/plan/underlay")

SCALED = (
    *(feet(name, "Point") for name in ("start.x", "start.y", "end.x", "end.y")),
    length("length", "How far apart", required=True),
    direction("direction", "Direction", empty=None),
)


@router.post("/new")
async def add(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A photo or plat to draw on."""
    async with request.form() as form:
        sent = form.get("file")
        content = await sent.read() if isinstance(sent, UploadFile) else b""
    parsed = read(form, (text("title", "What it is called"),), office.firm(), whole=True)
    order = order_of(form, "Picture below the plan")
    saved = await save_form_async(
        parsed, lambda: underlays.add_underlay(office, job_id, content, parsed.values["title"], order)
    )
    return show(request, office, job_id, "plan", focus=f"underlay:{saved.result or 'new'}", saved=saved)


@router.get("/{underlay_id}")
async def picture(office: OfficeHere, job_id: UUID, underlay_id: UUID) -> Response:
    """A picture of this job; its bytes never change."""
    kept = underlays.read_underlay(office, job_id, underlay_id)
    headers = {"cache-control": "private, max-age=31536000, immutable", "etag": f'"{kept.name}"'}
    return Response(kept.content, media_type=kept.kind, headers=headers)


@router.post("/{underlay_id}")
async def change(request: Request, office: OfficeHere, job_id: UUID, underlay_id: UUID) -> Response:
    """Where it lies, how wide it is, how strong it shows."""
    form = await request.form()
    parsed = read(form, FORMS["underlay"], office.firm())
    order = order_of(form, "Picture below the plan")
    saved = save_form(
        parsed,
        lambda: underlays.change_underlay(office, job_id, underlay_id, parsed.values, version_of(form), order),
    )
    return show(request, office, job_id, "plan", focus=f"underlay:{underlay_id}", saved=saved)


@router.post("/{underlay_id}/scale")
async def scale(request: Request, office: OfficeHere, job_id: UUID, underlay_id: UUID) -> Response:
    """Scaled, and turned, by two of its points that are known."""
    form = await request.form()
    parsed = read(form, SCALED, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: underlays.scale_underlay(
            office, job_id, underlay_id, _known(parsed.values), version_of(form), order_of(form, "Scale")
        ),
    )
    return show(request, office, job_id, "plan", focus=f"underlay:{underlay_id}", saved=saved)


def _known(values: Mapping[str, Any]) -> Known:
    place = {name: values.get(name) or 0.0 for name in ("start.x", "start.y", "end.x", "end.y")}
    return Known(
        start=(place["start.x"], place["start.y"]),
        end=(place["end.x"], place["end.y"]),
        length=values["length"],
        along=values.get("direction"),
    )
