"""The switch of sharing, on this laptop only: on, off, the trust step, plain HTTP."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import Refused
from app.domain.sharing import Ended, Over, Plain, in_groups
from app.services import authority, passcode
from app.services.office import Office
from app.services.share_page import share_page
from app.web.access import OfficeHere
from app.web.asked_again import PASSCODE, proved
from app.web.forms.fields import read
from app.web.forms.saving import Saved, save_form_async
from app.web.reached import over_of
from app.web.rendering import go, page, svg
from app.web.sharing import Sharing
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/firm/share")


def _show(request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT) -> Response:
    sharing: Sharing = request.app.state.sharing
    view = share_page(office, sharing.share, sharing.ended, sharing.ended_at)
    trusted = authority.trusted(office, view.share.called) if view.share else None
    context = {
        "sheet": view,
        "fingerprint": in_groups(trusted.fingerprint) if trusted else "",
        "fault": sharing.fault,
        "name_fault": sharing.name_fault,
        "code": svg(view.code),
        "trust_code": svg(view.trust_code),
        "saved": saved,
        "here": over_of(request.scope) is Over.HERE,
        "asks": passcode.is_set(office),
    }
    return page(request, "share/page.html", context, status=saved.status)


async def _switch(request: Request, office: Office, doing: Any, *, widens: bool = True) -> Response:
    """Do it on this machine alone; the passcode is asked again where it lets more in than before."""
    if over_of(request.scope) is not Over.HERE:
        raise Refused("Sharing is switched on the laptop itself. Nothing was changed.")
    parsed = read(await request.form(), (PASSCODE,), office.firm(), whole=True)

    async def switch() -> None:
        if widens:
            await proved(request, office, parsed.values["passcode"])
        await doing()

    saved = await save_form_async(parsed, switch)
    return go(request, "/firm/share") if saved.ok else _show(request, office, saved)


@router.get("")
async def show_share(request: Request, office: OfficeHere) -> Response:
    """Whether, where and until when the pages are shared."""
    return _show(request, office)


@router.post("/on")
async def switch_on(request: Request, office: OfficeHere) -> Response:
    """Share on the network that was chosen."""
    sharing: Sharing = request.app.state.sharing
    interface = str((await request.form()).get("interface", ""))
    return await _switch(request, office, lambda: sharing.begin(interface))


@router.post("/off")
async def switch_off(request: Request, office: OfficeHere) -> Response:
    """Stop sharing."""
    sharing: Sharing = request.app.state.sharing
    return await _switch(request, office, lambda: sharing.end(Ended.SWITCH), widens=False)


@router.post("/plain")
async def open_plain(request: Request, office: OfficeHere) -> Response:
    """Open plain HTTP for the trust step or for reading and notes, or close it."""
    sharing: Sharing = request.app.state.sharing
    wanted = str((await request.form()).get("use", ""))
    use = Plain(wanted) if wanted in set(Plain) else Plain.CLOSED
    return await _switch(request, office, lambda: sharing.open_plain(use), widens=use is not Plain.CLOSED)
