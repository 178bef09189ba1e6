"""What is left of each material, counted by the crew at the end of a zone or of the job. No money in any byte."""

from collections.abc import Sequence
from typing import Any
from urllib.parse import quote
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.interchange.order_sheets import counted
from app.services.counting import CountRow, count_rows
from app.services.field import field_view
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.forms.saving import Saved
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT
from app.web.supply_saving import left_counted

router = APIRouter(prefix="/field/{job_id}/left")


@router.get("")
async def show_left(request: Request, office: OfficeHere, job_id: UUID, zone: str = "") -> Response:
    """What came and is to be counted; `zone` is the letter of the one that is done."""
    return _show(request, office, field_view(office, job_id), zone=zone[:80])


@router.post("/counted")
async def count(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What is left of a material."""
    view = field_view(office, job_id)
    form = await request.form()
    material, zone = (str(form.get(name, ""))[:80] for name in ("material", "zone"))
    saved = await left_counted(request, office, view)
    if not saved.ok:
        return _show(request, office, view, saved, zone=zone, wrong=material)
    chosen = f"?zone={quote(zone)}" if zone else ""
    return go(request, f"/field/{job_id}/left{chosen}#m-{quote(material)}")


def _of_zone(rows: Sequence[CountRow], zone: str) -> Sequence[CountRow]:
    return [one for one in rows if zone in one.zones]


def _show(
    request: Request,
    office: Office,
    view: Sheet,
    saved: Saved[Any] = NOTHING_SENT,
    *,
    zone: str = "",
    wrong: str = "",
) -> Response:
    every = count_rows(office, view)
    rows = _of_zone(every, zone) or every
    context = {
        "job": view.job,
        "home": f"/field/{view.job.head.id}",
        "today": view.today,
        "zone": zone if rows is not every else "",
        "zones": sorted({letter for one in every for letter in one.zones}),
        "to_count": [one for one in rows if one.came and not one.newest],
        "done": [one for one in rows if one.newest],
        "not_ordered": [one for one in rows if not one.came and not one.newest],
        "saved": saved,
        "wrong": wrong,
        "nothing": NOTHING_SENT,
        "counted": counted,
    }
    return page(request, "field/left.html", context, status=saved.status)
