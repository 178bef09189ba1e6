"""What the command line asks for while the pages are served: the one writer does it and answers after the commit."""

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response

from app.domain.codec import to_plain
from app.services.any_file import bring_in_any
from app.services.jobs import Order
from app.web.access import COMMANDS, OfficeHere, change_of_command

router = APIRouter(prefix=COMMANDS.rstrip("/"))


@router.post("/import")
async def bring_in(request: Request, office: OfficeHere) -> Response:
    """The body, a job file, as a new job."""
    order = Order(change_id=change_of_command(request))
    return JSONResponse(to_plain(bring_in_any(office, await request.body(), order)))
