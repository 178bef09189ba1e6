"""The Sun sheet: the year's path, hours by place, the picture of a month."""

from collections.abc import Mapping
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from app.services.bed_care import MONTHS
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.sunshine import NAMES, follow_the_sun, month_picture, sun_page
from app.web.access import OfficeHere
from app.web.rendering import dressed
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/sun")
JUNE = 6
Month = Annotated[int, Query(ge=1, le=12)]


@router.get("")
async def show_sun(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The sun of a yard through the year."""
    await follow_the_sun(office, sheet(office, job_id))
    return show(request, office, job_id, "sun")


@router.get("/hours.svg")
async def hours_picture(
    request: Request, office: OfficeHere, job_id: UUID, month: Month = JUNE, grown: str = ""
) -> Response:
    """Hours of sun over the lot in one month, as a picture."""
    drawing = await month_picture(office, sheet(office, job_id), month, with_grown=bool(grown))
    return dressed(request, Response(drawing, media_type="image/svg+xml"))


def _give(request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    typed = request.query_params.get("month", "")
    month = int(typed) if typed.isdecimal() and 1 <= int(typed[:4]) <= len(MONTHS) else JUNE
    return {
        "it": sun_page(office, view),
        "month": month,
        "month_name": NAMES[month - 1],
        "months": MONTHS,
        "names": list(enumerate(NAMES, 1)),
        "grown": request.query_params.get("grown", "")[:1],
    }


register(SheetPage(key="sun", title="Sun", template="sun/page.html", give=_give, part_of="plan"))
