"""The device that asks: its token in a cookie, and what it is shown."""

from fastapi import Request
from fastapi.responses import Response
from starlette.requests import HTTPConnection

from app.domain.devices import Device
from app.domain.sharing import Over
from app.services.devices import device_with
from app.services.office import Office
from app.web.reached import drop_cookie, keep_cookie, over_of, read_cookie

DEVICE = "outlay_device"
KEPT_FOR = 400 * 86_400  # seconds: as long as browsers keep a cookie (RFC 6265bis, draft)


def token_of(request: HTTPConnection) -> str:
    """The token that was sent. One given over plain HTTP, where others may have read it, is none over HTTPS."""
    over = over_of(request.scope)
    token = "" if over is Over.HERE else read_cookie(request, DEVICE)
    return token if token.startswith(f"{over.value}.") else ""


def device_at(request: HTTPConnection, office: Office) -> Device | None:
    """The device that asks, also when it was revoked; None for a stranger, and on this machine, which needs none."""
    return device_with(office, token_of(request))


def give_token(request: Request, response: Response, token: str) -> Response:
    """Hand a device its token, in a cookie that no script reads and no other site sends."""
    keep_cookie(request, response, DEVICE, token, seconds=KEPT_FOR)
    return response


def drop_token(request: Request, response: Response) -> Response:
    """Take a device's token from it."""
    drop_cookie(request, response, DEVICE)
    return response
