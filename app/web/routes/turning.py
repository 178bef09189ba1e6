"""A device turned to the client with one tap, and back to ours."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.devices import Device, Face, Showing
from app.domain.errors import Refused
from app.services import devices
from app.services.sheets import sheet
from app.web.access import FACE, OfficeHere, face_cookie
from app.web.reached import drop_cookie, keep_cookie
from app.web.rendering import go

router = APIRouter()


@router.post("/jobs/{job_id}/face")
async def turn(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Turn this device to the client's face of a job."""
    sheet(office, job_id)
    device: Device | None = getattr(request.state, "device", None)
    turned = go(request, f"/show/{job_id}")
    if device is None:
        keep_cookie(request, turned, FACE, face_cookie(office, job_id))
    else:
        devices.turn(office, device, Showing(Face.CLIENT, job_id))
    return turned


@router.post("/face/ours")
async def turn_back(request: Request, office: OfficeHere) -> Response:
    """Back to our own face."""
    showing: Showing = request.state.showing
    device: Device | None = getattr(request.state, "device", None)
    turned = go(request, f"/jobs/{showing.job_id}/proposal" if showing.job_id else "/")
    if device is None:
        drop_cookie(request, turned, FACE)
    elif device.face is Face.OURS:
        devices.turn(office, device, Showing())
    else:
        raise Refused("This device was not paired as one of ours; it stays with the pages it shows.")
    return turned
