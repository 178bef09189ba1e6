"""What one more or one less of each driver does to the price."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services.office import Office
from app.services.sensitivity import drivers_view, work_out
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.rendering import go, page, svg, wants_fragment
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/drivers")


@router.get("")
async def show_drivers(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The drivers of a job; what is not worked out yet comes by itself."""
    return show(request, office, job_id, "drivers")


@router.get("/swings")
async def swings(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What every driver does, worked out: its part for htmx, else the page once it is there."""
    view = sheet(office, job_id)
    await work_out(office, view)
    if not wants_fragment(request):
        return go(request, f"/jobs/{job_id}/drivers")
    return page(request, "drivers/_swings.html", {"job": view.job, "estimate": view.estimate, **_known(office, view)})


def _known(office: Office, view: Sheet) -> Mapping[str, Any]:
    it = drivers_view(office, view)
    return {"it": it, "chart": svg(it.chart) if it.chart else ""}


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return _known(office, view)


TITLE = "What drives the price"
register(SheetPage(key="drivers", title=TITLE, template="drivers/page.html", give=_give, part_of="estimate"))
