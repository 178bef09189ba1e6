"""A job's prices beside the firm's signed jobs, by kind of work."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import under_way
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
async def read(request: Request, office: OfficeHere, job_id: UUID, again: bool = False) -> Response:
    """The same with every signed job read, or how far that is: its part for htmx, else the page once it is."""
    view, part = sheet(office, job_id), wants_fragment(request)
    if again:
        under_way.again(office, ("past", job_id))
    await under_way.look(
        office,
        ("past", job_id),
        view.estimate,
        lambda told: read_past(office, view, told),
        wait=under_way.WAIT if part else None,
    )
    return _part(request, office, view) if part else go(request, f"/jobs/{job_id}/past")


@router.post("/read/stop")
async def stop(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """It is stopped, and begins again when it is asked for."""
    under_way.stop(office, ("past", job_id))
    if not wants_fragment(request):
        return go(request, f"/jobs/{job_id}/past")
    return _part(request, office, sheet(office, job_id))


def _part(request: Request, office: Office, view: Sheet) -> Response:
    return page(request, "past/_rows.html", {"job": view.job, "estimate": view.estimate, **_known(office, view)})


def _known(office: Office, view: Sheet) -> Mapping[str, Any]:
    it = past_view(office, view)
    state = under_way.now(office, ("past", view.job.head.id), view.estimate)
    return {"it": it, "chart": svg(it.chart) if it.chart else "", "drawing": state}


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return _known(office, view)


register(SheetPage(key="past", title="Beside past jobs", template="past/page.html", give=_give, part_of="estimate"))
