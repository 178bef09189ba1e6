"""What one more or one less of each driver does to the price."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import under_way
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
async def swings(request: Request, office: OfficeHere, job_id: UUID, again: bool = False) -> Response:
    """What every driver does, worked out, or how far that is: its part for htmx, else the page once it is."""
    view, part = sheet(office, job_id), wants_fragment(request)
    if again:
        under_way.again(office, ("swings", job_id))
    await under_way.look(
        office,
        ("swings", job_id),
        view.estimate,
        lambda told: work_out(office, view, told),
        wait=under_way.WAIT if part else None,
    )
    return _part(request, office, view) if part else go(request, f"/jobs/{job_id}/drivers")


@router.post("/swings/stop")
async def stop(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """It is stopped, and begins again when it is asked for."""
    under_way.stop(office, ("swings", job_id))
    if not wants_fragment(request):
        return go(request, f"/jobs/{job_id}/drivers")
    return _part(request, office, sheet(office, job_id))


def _part(request: Request, office: Office, view: Sheet) -> Response:
    return page(request, "drivers/_swings.html", {"job": view.job, "estimate": view.estimate, **_known(office, view)})


def _known(office: Office, view: Sheet) -> Mapping[str, Any]:
    it = drivers_view(office, view)
    state = under_way.now(office, ("swings", view.job.head.id), view.estimate)
    return {"it": it, "chart": svg(it.chart) if it.chart else "", "drawing": state}


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return _known(office, view)


TITLE = "What drives the price"
register(SheetPage(key="drivers", title=TITLE, template="drivers/page.html", give=_give, part_of="estimate"))
