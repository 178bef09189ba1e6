"""Schedule: every activity of a job on its days, what decides the end, and by when things are ordered."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services.office import Office
from app.services.scheduling import calendar_of, days_of, inspections_of, schedule_page
from app.services.sheets import Sheet, sheet
from app.services.supply import on_order_now, points_of
from app.web.access import OfficeHere
from app.web.forms.fields import LONGEST_FOCUS
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/schedule")


@router.get("")
async def show_schedule(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The schedule; `focus=days:KEY` opens the days of an activity."""
    return show(request, office, job_id, "schedule", focus=focus[:LONGEST_FOCUS])


@router.get("/days.ics")
async def calendar(office: OfficeHere, job_id: UUID) -> Response:
    """The schedule for a calendar: no client, no money."""
    view = sheet(office, job_id)
    named = {"Content-Disposition": f'attachment; filename="job-{view.job.head.number}.ics"'}
    return Response(calendar_of(office, view), media_type="text/calendar", headers=named)


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    page = schedule_page(office, view)
    return {
        "page": page,
        "inspections": inspections_of(page.laid),
        "order_points": points_of(office, view),
        "on_order": on_order_now(view),
        "days_of": days_of(view, page, focus.removeprefix("days:")),
    }


register(
    SheetPage(key="schedule", title="Schedule", template="schedule/page.html", give=_give, part_of="phases"),
)
