"""Who may reach what: one table. What has no line is nobody's, and a test finds it.

Everybody is shown to their face what it has, made apart on the server; an address that is not theirs leads back there.
"""

from collections.abc import Mapping

from starlette.requests import Request

from app.domain.devices import Device, Face, Showing
from app.domain.errors import NotFound, OutlayError
from app.services import passcode
from app.services.office import Office
from app.web.forms.fields import as_uuid

ANYBODY = "anybody"
# by the address as it is declared; one that ends in `/*` speaks for all below it that have no line of their own
REACH: Mapping[str, str] = {
    "/built/{version}/{path:path}": "anybody",
    "/trust": "anybody",
    "/trust/authority.crt": "anybody",
    "/feed/{token}.ics": "anybody",  # and of these only who knows the token
    "/pair": "anybody",
    "/pair/waiting": "anybody",
    "/face/ours": "ours field client",
    "/face/own": "ours field client",
    "/face/leave": "ours field client",
    "/contact": "ours field client",
    "/unsent": "ours field",
    "/worker.js": "ours field",
    "/show/{job_id}": "ours client",
    "/show/{job_id}/{key}": "ours client",
    "/show/{job_id}/yard/ask": "ours client",
    "/show/{job_id}/yard/photos/{call_id}": "ours client",
    "/show/{job_id}/options/change": "ours client",
    "/show/{job_id}/options/{option_id}": "ours client",
    "/show/{job_id}/packages/{package_id}": "ours client",
    "/show/{job_id}/sign/{revision_id}": "ours client",
    "/show/{job_id}/consent/{revision_id}": "ours client",
    "/show/{job_id}/mail/{revision_id}": "ours client",
    "/show/{job_id}/paper/{revision_id}.pdf": "ours client",
    "/show/{job_id}/decline/{revision_id}": "ours client",
    "/show/{job_id}/file/{revision_id}/{role}.pdf": "ours client",
    "/field": "ours field",
    "/field/{job_id}": "ours field",
    "/field/{job_id}/crew/{key}": "ours field",
    "/field/{job_id}/crew/{key}.pdf": "ours field",
    "/field/{job_id}/layout": "ours field",
    "/field/{job_id}/layout.pdf": "ours field",
    "/field/{job_id}/plan": "ours field",
    "/field/{job_id}/plan.pdf": "ours field",
    "/field/{job_id}/orders": "ours field",
    "/field/{job_id}/orders/{order_id}/delivery": "ours field",
    "/field/{job_id}/left": "ours field",
    "/field/{job_id}/left/counted": "ours field",
    "/field/{job_id}/log": "ours field",
    "/field/{job_id}/log/hours": "ours field",
    "/field/{job_id}/log/hours/{entry_id}/remove": "ours field",
    "/field/{job_id}/log/done": "ours field",
    "/field/{job_id}/day": "ours field",
    "/field/{job_id}/day/receipt": "ours field",
    "/field/{job_id}/day/{what}": "ours field",
    "/field/{job_id}/day/{kind}/{thing_id}/remove": "ours field",
    "/field/{job_id}/after": "ours field",
    "/field/{job_id}/after/result": "ours field",
    "/field/{job_id}/after/punch": "ours field",
    "/field/{job_id}/after/note": "ours field",
    "/field/{job_id}/after/punch/{item_id}": "ours field",
    "/field/language": "ours field",
    "/field/{job_id}/days": "ours field",
    "/field/{job_id}/days/{day}": "ours field",
    "/field/{job_id}/days/{day}.pdf": "ours field",
    "/field/{job_id}/days/{day}/{person}": "ours field",
    "/field/{job_id}/days/{day}/{person}.pdf": "ours field",
    "/field/{job_id}/days/{day}/check": "ours field",
    "/field/{job_id}/days/{day}/check/{check_id}/remove": "ours field",
    "/field/{job_id}/note": "ours field",
    "/field/{job_id}/photo": "ours field",
    "/field/{job_id}/photos/{photo_id}": "ours field",
    "/field/{job_id}/photos/{photo_id}/small": "ours field",
    "/pieces/{name}": "ours field",
    "/quick-math": "ours field",
    "/quick-math/{key}": "ours field",
    "/quick-math/{key}/job": "ours field",
    "/quick-math/{key}/job/{job_id}": "ours field",
    "/": "ours",
    "/copy": "ours",
    "/jobs": "ours",
    "/jobs/*": "ours",
    "/firm": "ours",
    "/firm/*": "ours",
    "/prices": "ours",
    "/prices/*": "ours",
    "/library": "ours",
    "/library/*": "ours",
    "/subcontractors": "ours",
    "/subcontractors/*": "ours",
    "/backups": "ours",
    "/backups/*": "ours",
    "/commands/*": "ours",  # and of these only who can read the data folder's secret
}


class ShowsOther(OutlayError):
    """This device shows another face than what was asked for; its own is one step away."""

    status = 303

    def __init__(self, showing: Showing) -> None:
        super().__init__("This device shows other pages.")
        self.home = home_of(showing)


def home_of(showing: Showing) -> str:
    """Where a device begins."""
    return {Face.OURS: "/", Face.FIELD: "/field", Face.CLIENT: f"/show/{showing.job_id}"}[showing.face]


def is_ours(request: Request) -> bool:
    """Whether the device that asks is shown our pages, so that ways to them may stand on what it gets."""
    if not hasattr(request.state, "showing"):  # an address that is none: nobody looked who asks
        return getattr(request.state, "device", None) is None
    showing: Showing | None = request.state.showing
    return showing is not None and showing.face is Face.OURS


def goes_back(request: Request) -> bool:
    """Whether the device that asks was paired as another than ours, and is turned to ours."""
    device: Device | None = getattr(request.state, "device", None)
    return device is not None and device.face is not Face.OURS and is_ours(request)


def may_leave(request: Request) -> bool:
    """Whether the device that asks may end its pairing: one that was handed over, or came to ours, goes back first."""
    device: Device | None = getattr(request.state, "device", None)
    return device is not None and device.turned is None


def asks_passcode(request: Request, office: Office) -> bool:
    """Whether this device comes back to ours by passcode alone: one that is not ours, and any once there is one."""
    showing: Showing | None = getattr(request.state, "showing", None)
    if showing is None or showing.face is Face.OURS:
        return False
    device: Device | None = getattr(request.state, "device", None)
    return (device is not None and device.face is not Face.OURS) or passcode.is_set(office)


def line_of(declared: str) -> str | None:
    """The line of the table for an address as it is declared: its own, else of the nearest branch above it."""
    if declared in REACH:
        return REACH[declared]
    parts = declared.split("/")
    branches = ("/".join([*parts[:most], "*"]) for most in range(len(parts) - 1, 0, -1))
    return next((REACH[branch] for branch in branches if branch in REACH), None)


def may_reach(declared: str, face: Face | None) -> bool:
    """Whether a face may reach an address; None is a device that was not let in."""
    line = (line_of(declared) or "").split()
    return ANYBODY in line or (face is not None and face.value in line)


def keep_to_face(request: Request, showing: Showing | None) -> None:
    """Let through what the device's face has, and on the client's only of its own job.

    Raises: ShowsOther; NotFound for a stranger.
    """
    declared = getattr(request.scope.get("route"), "path", "")
    if showing is None:
        if not may_reach(declared, None):
            raise NotFound("This device is not paired with Outlay.")
        return
    theirs = may_reach(declared, showing.face)
    if theirs and showing.face is Face.CLIENT and "job_id" in request.path_params:
        theirs = as_uuid(str(request.path_params["job_id"])) == showing.job_id
    if not theirs:
        raise ShowsOther(showing)
