"""The yard seen from above and aside: turned by eighths, in the sun, in the evening; for us and for the client."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import NotFound
from app.domain.seen.solids import CORNERS
from app.services import yard_view
from app.services.bed_care import MONTHS
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.yard_view import looked, looked_of
from app.web.access import OfficeHere
from app.web.rendering import svg
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/seen")
HOURS = (8.0, 10.0, 12.0, 14.0, 16.0, 18.0)


@router.get("")
async def show_seen(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The yard from the corner, in the light that the address asks for."""
    return show(request, office, job_id, "seen", focus=focus)


@router.get("/yard.svg")
async def drawing(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The same as a drawing by itself."""
    drawn = yard_view.drawn_yard(office, sheet(office, job_id), looked(request.query_params), width_px=1200)
    if not drawn:
        raise NotFound("Nothing is drawn on the plan yet.")
    return Response(drawn, media_type="image/svg+xml")


def seen_context(request: Request, office: Office, view: Sheet) -> Mapping[str, Any]:
    """What the page of a view shows, ours and the client's alike."""
    kept = looked_of(view.job.head.yard_view)
    asked = looked(request.query_params) if request.query_params.get("corner") else kept
    sight = yard_view.sight_of(view, asked)
    scene = yard_view.scene_on(office, view, asked)
    return {
        "yard": svg(yard_view.drawn_yard(office, view, asked)),
        "asked": asked,
        "corners": range(CORNERS),
        "hours": HOURS,
        "sun": sight.sun,
        "day": sight.day,
        "by_clock": sight.by_clock is not None,
        "latitude": sight.latitude,
        "latitude_assumed": view.job.site.latitude is None,
        "flat": scene.flat,
        "assumed": scene.assumed,
        "blooming": scene.blooming,
        "bloom_months": [(month, MONTHS[month - 1]) for month in yard_view.blooming_months(view)],
        "in_proposal": view.job.head.yard_view != "",
    }


def _give(request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return seen_context(request, office, view)


register(SheetPage(key="seen", title="Seen", template="seen/page.html", give=_give, part_of="plan"))
