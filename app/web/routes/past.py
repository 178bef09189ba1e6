"""A job's prices beside the firm's signed jobs, by kind of work."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services.office import Office
from app.services.past_jobs import past_view, read_past
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.rendering import svg
from app.web.sheet_pages import SheetPage, register, show
from app.web.worked_aside import Aside

router = APIRouter(prefix="/jobs/{job_id}/past")


@router.get("")
async def show_past(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """This job beside past ones; signed jobs that were not read yet come by themselves."""
    return show(request, office, job_id, "past")


@router.get("/read")
async def read(request: Request, office: OfficeHere, job_id: UUID, again: bool = False) -> Response:
    """The same with every signed job read, or how far that is: its part for htmx, else the page once it is."""
    return await READ.look(request, office, job_id, again)


@router.post("/read/stop")
async def stop(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """It is stopped, and begins again when it is asked for."""
    return await READ.stop(request, office, job_id)


def _known(office: Office, view: Sheet) -> Mapping[str, Any]:
    it = past_view(office, view)
    return {"it": it, "chart": svg(it.chart) if it.chart else ""}


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return READ.given(office, view)


READ = Aside(name="past", on="past", template="past/_rows.html", work=read_past, known=_known)
register(SheetPage(key="past", title="Beside past jobs", template="past/page.html", give=_give, part_of="estimate"))
