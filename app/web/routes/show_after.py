"""What a client asks from the pages of their finished yard: something is wrong, or a question."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import clients_yard
from app.services.sheets import sheet
from app.web.access import OfficeHere
from app.web.client_pages import YARD, client_page
from app.web.forms.after import ASKED
from app.web.forms.fields import order_of, read
from app.web.forms.saving import save_form
from app.web.rendering import go

router = APIRouter()


@router.post("/show/{job_id}/yard/ask")
async def ask(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Send a call or a question to the office."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, ASKED, office.firm(), whole=True)
    saved = save_form(parsed, lambda: clients_yard.ask(office, view, parsed.values, order_of(form, "Asked")))
    if saved.ok:
        return go(request, f"/show/{job_id}/{YARD}#asked")
    return client_page(request, office, job_id, YARD, saved=saved)
