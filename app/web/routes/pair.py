"""The door of a new device: it types the code, shows two words, and waits for the owner's word. Nothing of the firm."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.devices import Device
from app.domain.pairing import Stands, is_live
from app.domain.sharing import Over
from app.services import pairing
from app.services.devices import LONGEST_NAME
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.device import give_token, token_of
from app.web.faces import home_of
from app.web.forms.fields import Parsed, Texts, read, text
from app.web.forms.saving import Saved, save_form
from app.web.forms.signing import device_kind
from app.web.reached import over_of
from app.web.rendering import go, page, wants_fragment

router = APIRouter(prefix="/pair")
ASK = (text("code", "The code", required=True, most=40), text("name", "Name of this device", most=LONGEST_NAME))


@router.get("")
async def show_door(request: Request, office: OfficeHere, code: str = "") -> Response:
    """The code is typed here; from the camera it comes along."""
    return _show(request, office, Saved(Parsed(typed=Texts({"code": code[:40]}))))


@router.post("")
async def ask(request: Request, office: OfficeHere) -> Response:
    """The device asks to be let in. Asked twice by a tap too many, it waits as before."""
    if _waits(request, office) or over_of(request.scope) is Over.HERE:
        return go(request, "/pair")
    parsed = read(await request.form(), ASK, office.firm(), whole=True)
    name = parsed.values.get("name") or device_kind(request.headers.get("user-agent", ""))
    address, way = request.client.host if request.client else "", over_of(request.scope).value
    saved = save_form(parsed, lambda: pairing.ask(office, parsed.values["code"], name, address, way))
    if saved.result is None:
        return _show(request, office, saved)
    return give_token(request, go(request, "/pair"), saved.result.token)


@router.get("/waiting")
async def show_waiting(request: Request, office: OfficeHere) -> Response:
    """Asked again and again while the device waits; once it is in, its own first page."""
    if _device(request) is not None:
        return go(request, home_of(request.state.showing))
    if not wants_fragment(request):
        return go(request, "/pair")
    return page(request, "pair/_waiting.html", _context(request, office))


def _device(request: Request) -> Device | None:
    device: Device | None = request.state.device if hasattr(request.state, "device") else None
    return device


def _waits(request: Request, office: Office) -> bool:
    one = pairing.asked_by(office, token_of(request))
    return one is not None and one.stands is Stands.ASKED and is_live(one, office.clock())


def _context(request: Request, office: Office) -> dict[str, Any]:
    one = pairing.asked_by(office, token_of(request))
    waits = _waits(request, office)
    return {
        "words": pairing.words_of(office, one) if one and waits else (),
        "refused": one is not None and one.stands is Stands.REFUSED,
        "lapsed": one is not None and one.stands in {Stands.ASKED, Stands.REPLACED} and not waits,
        "device": _device(request),
        "over": over_of(request.scope).value,
    }


def _show(request: Request, office: Office, saved: Saved[Any]) -> Response:
    kind = device_kind(request.headers.get("user-agent", ""))
    context = {**_context(request, office), "form": saved.form, "kind": kind}
    return page(request, "pair/page.html", context, status=saved.status)
