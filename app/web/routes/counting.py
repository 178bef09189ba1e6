"""What is left of each material at the end: counted by the owner or whoever closes the yard."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.interchange.order_sheets import counted
from app.services import counting
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read
from app.web.forms.saving import save_form
from app.web.sheet_pages import SheetPage, register, show
from app.web.supply_saving import left_counted

KEY = "orders/left"
router = APIRouter(prefix="/jobs/{job_id}/orders/left")


@router.get("")
async def show_left(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What came, what the plan wants, what was counted."""
    return show(request, office, job_id, KEY)


@router.post("/counted")
async def count(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """It was counted."""
    saved = await left_counted(request, office, sheet(office, job_id))
    return show(request, office, job_id, KEY, saved=saved)


@router.post("/{material}/take-out")
async def take_out(request: Request, office: OfficeHere, job_id: UUID, material: str) -> Response:
    """A count by mistake goes; undo brings it back."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, (), office.firm())
    saved = save_form(parsed, lambda: counting.take_out(office, view, material, order_of(form, "Count taken out")))
    return show(request, office, job_id, KEY, saved=saved)


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {"rows": counting.count_rows(office, view), "counted": counted}


register(SheetPage(key=KEY, title="Left at the end", template="orders/left.html", give=_give, part_of="build"))
