"""What a client asks from the pages of their finished yard: something is wrong, or a question, with a picture."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import clients_yard
from app.services.sheets import sheet
from app.web.access import OfficeHere
from app.web.client_pages import YARD, client_page
from app.web.forms.after import ASKED
from app.web.forms.fields import order_of, read
from app.web.forms.in_pieces import file_at_once
from app.web.forms.saving import save_form_async
from app.web.pictures import picture_answer
from app.web.rendering import go

router = APIRouter()


@router.post("/show/{job_id}/yard/ask")
async def ask(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Send a call or a question to the office."""
    async with request.form() as form:
        picture = await file_at_once(form)
    view, parsed = sheet(office, job_id), read(form, ASKED, office.firm(), whole=True)
    saved = await save_form_async(
        parsed, lambda: clients_yard.ask(office, view, parsed.values, picture, order_of(form, "Asked"))
    )
    if saved.ok:
        return go(request, f"/show/{job_id}/{YARD}#asked")
    return client_page(request, office, job_id, YARD, saved=saved)


@router.get("/show/{job_id}/yard/photos/{call_id}")
async def photo(office: OfficeHere, job_id: UUID, call_id: UUID) -> Response:
    """The picture that came with what the client sent, small; no other of the job's."""
    return picture_answer(await clients_yard.read_own_photo(office, job_id, call_id))
