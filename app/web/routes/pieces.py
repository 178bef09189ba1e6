"""A large file from a device, piece by piece; a line that was cut goes on where it ended."""

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response
from starlette.datastructures import UploadFile

from app.services import pieces
from app.web.access import OfficeHere
from app.web.forms.fields import whole_number

router = APIRouter(prefix="/pieces")


@router.get("/{name}")
async def how_much(office: OfficeHere, name: str) -> Response:
    """How much of a file is there, and how large a piece may be."""
    return JSONResponse({"there": pieces.there(office, name), "piece": pieces.PIECE})


@router.post("/{name}")
async def add_piece(request: Request, office: OfficeHere, name: str) -> Response:
    """One piece more."""
    async with request.form() as form:
        sent = form.get("file")
        piece = await sent.read() if isinstance(sent, UploadFile) else b""
    come = pieces.add(office, name, whole_number(form, "at"), whole_number(form, "size"), piece)
    return JSONResponse({"there": come, "piece": pieces.PIECE})
