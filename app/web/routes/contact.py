"""A device asks whether the program is there, and what became of changes that it had no answer to."""

from itertools import islice

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from app.domain.devices import Showing
from app.services.jobs import last_change_at, saved_of
from app.web.access import OfficeHere, token_for
from app.web.forms.fields import as_uuid
from app.web.rendering import dressed, page

router = APIRouter()
MOST = 50  # changes asked about at once


@router.get("/contact")
async def contact(request: Request, office: OfficeHere, saved: str = "", job: str = "") -> Response:
    """The token and epoch this device's changes need now, which of the changes named were saved, when a job changed."""
    named = islice((one for one in map(as_uuid, saved.split(",")) if one), MOST)
    showing: Showing = request.state.showing
    told = {
        "face": showing.face.value,
        "token": token_for(office, request.state.session),
        "epoch": str(office.epoch),
        "saved": [str(one) for one in saved_of(office, named)],
        "at": last_change_at(office, as_uuid(job)),
    }
    return dressed(request, JSONResponse(told))


@router.get("/unsent")
async def unsent(request: Request) -> Response:
    """What was typed on this device and is not sent yet; the device fills it in."""
    return page(request, "unsent/page.html", {})
