"""A job's prices beside the firm's signed jobs, by kind of work."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services.office import Office
from app.services.past_jobs import past_view, read_past
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.rendering import go, page, svg, wants_fragment
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/past")


@router.get("")
async def show_past(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """This job beside past ones; signed jobs that were not read yet come by themselves."""
    return show(request, office, job_id, "past")


@router.get("/read")
async def read(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The same with every signed job read: its part for htmx, else the page once they are."""
    view = sheet(office, job_id)
    await read_past(office, view)
    if not wants_fragment(request):
        return go(request, f"/jobs/{job_id}/past")
    return page(request, "past/_rows.html", {"job": view.job, "estimate": view.estimate, **_known(office, view)})


def _known(office: Office, view: Sheet) -> Mapping[str, Any]:
    it = past_view(office, view)
    return {"it": it, "chart": svg(it.chart) if it.chart else ""}


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return _known(office, view)


register(SheetPage(key="past", title="Beside past jobs", template="past/page.html", give=_give, part_of="estimate"))
