"""Warranty: the visits after hand-over, calls, and their cost against the reserve."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.job import CAUSES
from app.services import warranty
from app.services.call_letters import letter_of
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.after import ANSWERED, CALL, SETTLED, VISIT
from app.web.forms.fields import Parsed, order_as_read, order_of, read
from app.web.forms.saving import save_form
from app.web.forms.with_file import save_with_file
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/after/warranty")
KEY = "after/warranty"


@router.get("")
async def show_warranty(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """Visits and calls."""
    return show(request, office, job_id, KEY, focus=focus)


@router.post("/photo")
async def write_call(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A call is taken, with a picture where there is one."""
    saved = await save_with_file(
        request,
        office,
        CALL,
        "Warranty call",
        lambda parsed, content, order: warranty.write_call(
            office, sheet(office, job_id), parsed.values, content, order
        ),
    )
    return show(request, office, job_id, KEY, focus="" if saved.ok else "new", saved=saved)


@router.post("/call/{call_id}")
async def settle_call(request: Request, office: OfficeHere, job_id: UUID, call_id: UUID) -> Response:
    """What a call took, and that it is done."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, SETTLED, office.firm(), whole=True)
    order = order_as_read(form, "Warranty call")
    saved = save_form(parsed, lambda: warranty.settle_call(office, view, call_id, parsed.values, order))
    return show(request, office, job_id, KEY, focus="" if saved.ok else f"call:{call_id}", saved=saved)


@router.post("/call/{call_id}/answer")
async def answer_call(request: Request, office: OfficeHere, job_id: UUID, call_id: UUID) -> Response:
    """What the client sent is answered."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, ANSWERED, office.firm(), whole=True)
    order = order_as_read(form, "Answer")
    saved = save_form(parsed, lambda: warranty.answer(office, view, call_id, parsed.values, order))
    return show(request, office, job_id, KEY, focus="" if saved.ok else f"answer:{call_id}", saved=saved)


@router.post("/call/{call_id}/remove")
async def take_out(request: Request, office: OfficeHere, job_id: UUID, call_id: UUID) -> Response:
    """A call that was written by mistake goes; undo brings it back."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: warranty.take_out(office, view, call_id, order_of(form, "Taken out")))
    return show(request, office, job_id, KEY, saved=saved)


@router.post("/visit/{after_days}")
async def set_visit(request: Request, office: OfficeHere, job_id: UUID, after_days: int) -> Response:
    """A visit is moved, or was made."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, VISIT, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: warranty.set_visit(office, view, after_days, parsed.values, order_of(form, "Visit"))
    )
    return show(request, office, job_id, KEY, focus="" if saved.ok else f"visit:{after_days}", saved=saved)


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {
        "held": warranty.warranty(office, view),
        "causes": tuple(CAUSES.items()),
        "letter_of": lambda call: letter_of(view, call),
    }


register(SheetPage(key=KEY, title="Warranty", template="after/warranty.html", give=_give, part_of="after"))
