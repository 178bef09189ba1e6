"""What the command line asks for while the pages are served: the one writer does it and answers after the commit."""

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from app.domain.codec import to_plain
from app.domain.errors import BadValue
from app.services.any_file import bring_in_any
from app.services.jobs import Order
from app.web.access import COMMANDS, OfficeHere, change_of_command
from app.web.brought_words import KEEP
from app.web.brought_words import bring_back as brought_back

router = APIRouter(prefix=COMMANDS.rstrip("/"))


@router.post("/import")
async def bring_in(request: Request, office: OfficeHere) -> Response:
    """The body, a job file, as a new job."""
    order = Order(change_id=change_of_command(request))
    return JSONResponse(to_plain(bring_in_any(office, await request.body(), order)))


@router.post("/bring-back")
async def bring_back(request: Request, office: OfficeHere, keep: str = "", *, look: bool = False) -> Response:
    """The body, a job that was taken along, merged back into itself."""
    if keep not in KEEP:
        raise BadValue("What both changed is kept as it is here, or as it is away. Nothing was changed.")
    order = Order(change_id=change_of_command(request))
    return JSONResponse(to_plain(await brought_back(office, await request.body(), keep, order, look=look)))
