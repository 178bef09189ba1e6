"""What one more or one less of each driver does to the price."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services.office import Office
from app.services.sensitivity import drivers_view, work_out
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.rendering import svg
from app.web.sheet_pages import SheetPage, register, show
from app.web.worked_aside import Aside

router = APIRouter(prefix="/jobs/{job_id}/drivers")


@router.get("")
async def show_drivers(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The drivers of a job; what is not worked out yet comes by itself."""
    return show(request, office, job_id, "drivers")


@router.get("/swings")
async def swings(request: Request, office: OfficeHere, job_id: UUID, again: bool = False) -> Response:
    """What every driver does, worked out, or how far that is: its part for htmx, else the page once it is."""
    return await SWINGS.look(request, office, job_id, again)


@router.post("/swings/stop")
async def stop(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """It is stopped, and begins again when it is asked for."""
    return await SWINGS.stop(request, office, job_id)


def _known(office: Office, view: Sheet) -> Mapping[str, Any]:
    it = drivers_view(office, view)
    return {"it": it, "chart": svg(it.chart) if it.chart else ""}


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return SWINGS.given(office, view)


SWINGS = Aside(name="swings", on="drivers", template="drivers/_swings.html", work=work_out, known=_known)
TITLE = "What drives the price"
register(SheetPage(key="drivers", title=TITLE, template="drivers/page.html", give=_give, part_of="estimate"))
