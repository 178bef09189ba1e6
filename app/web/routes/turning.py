"""A device turned to the client with one tap, back to ours by passcode, and given back to its own face."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.devices import Device, Face, Showing, own_showing
from app.domain.errors import Refused
from app.services import devices, passcode
from app.services.office import Office
from app.services.sheets import sheet
from app.web.access import FACE, OfficeHere, face_cookie
from app.web.device import drop_token
from app.web.faces import asks_passcode, home_of
from app.web.forms.fields import Field, order_of, read
from app.web.forms.saving import Saved, save_form_async
from app.web.reached import drop_cookie, keep_cookie
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter()
TYPED = (Field(name="passcode", label="The passcode", reader=lambda typed, _firm: typed, empty=""),)


@router.post("/jobs/{job_id}/face")
async def turn(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Hand the device over: it shows the client's face of this job."""
    sheet(office, job_id)
    device = _device(request)
    turned = go(request, f"/show/{job_id}")
    if device is None:
        keep_cookie(request, turned, FACE, face_cookie(office, job_id))
        request.app.state.handed_over = job_id if passcode.is_set(office) else None
    else:
        devices.turn(office, device, Showing(Face.CLIENT, job_id))
    return turned


@router.get("/face/ours")
async def ask_passcode(request: Request, office: OfficeHere) -> Response:
    """Where the passcode is typed."""
    return _ask(request, office)


@router.post("/face/ours")
async def turn_back(request: Request, office: OfficeHere) -> Response:
    """Back to our own face."""
    form = await request.form()
    parsed = read(form, TYPED, office.firm(), whole=True)
    device, showing = _device(request), request.state.showing
    place = str(device.id) if device else "here"

    async def prove() -> None:
        if asks_passcode(request, office):
            await passcode.check(office, parsed.values["passcode"], place)

    saved = await save_form_async(parsed, prove)
    if not saved.ok:
        return _ask(request, office, saved)
    job = showing.job_id or _job_shown(form.get("job"))
    turned = go(request, f"/jobs/{job}/proposal" if job else "/")
    if device is None:
        drop_cookie(request, turned, FACE)
        request.app.state.handed_over = None
    else:
        devices.turn(office, device, Showing())
    return turned


def _job_shown(sent: object) -> UUID | None:
    """The job whose page on the client's face asks, where the device was not handed over: opened to look or to sign."""
    try:
        return UUID(str(sent))
    except ValueError:
        return None


@router.post("/face/own")
async def give_back(request: Request, office: OfficeHere) -> Response:
    """A device that was turned to ours shows again what it was paired as."""
    device = _device(request)
    if device is None:
        return go(request, home_of(request.state.showing))
    own = own_showing(device)
    if own.face is Face.OURS and request.state.showing.face is not Face.OURS:
        raise Refused("This device was handed over. It comes back to ours with the passcode.")
    devices.turn(office, device, own)
    return go(request, home_of(own))


@router.get("/face/leave")
async def ask_leave(request: Request) -> Response:
    """What leaving means, before it is done."""
    return page(request, "turning/leave.html", {"home": home_of(request.state.showing), "left": False})


@router.post("/face/leave")
async def leave(request: Request, office: OfficeHere) -> Response:
    """A device ends its own pairing; what was kept on it of our pages goes."""
    device = _device(request)
    if device is None:
        raise Refused("This is the machine Outlay runs on: it is not paired, so it cannot leave.")
    devices.leave(office, device, order_of(await request.form(), ""))
    return drop_token(request, page(request, "turning/leave.html", {"home": "", "left": True}))


def _device(request: Request) -> Device | None:
    device: Device | None = getattr(request.state, "device", None)
    return device


def _ask(request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT) -> Response:
    context = {
        "saved": saved,
        "asks": asks_passcode(request, office),
        "is_set": passcode.is_set(office),
        "home": home_of(request.state.showing),
    }
    return page(request, "turning/page.html", context, status=saved.status)
