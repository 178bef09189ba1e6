"""What was changed in a job, by whom and when, and the newest taken back."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.formats import Formats
from app.services.history import history
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.change_words import Telling
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/history")


@router.get("")
async def show_history(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The record of a job, a page at a time."""
    return show(request, office, job_id, "history")


def _give(request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    asked = request.query_params.get("before", "")
    before = int(asked) if asked.isdecimal() and len(asked) < 16 else None
    record = history(office, view, before=before)
    firm = view.basis.firm
    telling = Telling(fmt=Formats(firm.system, firm.currency), basis=view.basis, names=record.names)
    told = [(happened, telling.edits(happened.edits)) for happened in record.entries]
    return {"told": told, "older": record.older, "newest": before is None}


register(SheetPage(key="history", title="History", template="history/page.html", give=_give))
