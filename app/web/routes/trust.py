"""The one-time trust step: what it is, with pictures; the authority's certificate to take. Says nothing of the firm."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import NotFound
from app.domain.sharing import Over, in_groups
from app.services import authority
from app.web.access import OfficeHere
from app.web.reached import over_of
from app.web.rendering import handed_out, page
from app.web.sharing import Sharing

router = APIRouter(prefix="/trust")
CERTIFICATE = "application/x-x509-ca-cert"  # what tablets know an authority's certificate by


@router.get("")
async def show_trust(request: Request, office: OfficeHere) -> Response:
    """The steps for each kind of device."""
    sharing: Sharing = request.app.state.sharing
    trusted = authority.trusted(office, sharing.share.called) if sharing.share else None
    context = {
        "over": over_of(request.scope).value,
        "secure_link": sharing.share.link(Over.SECURE) if sharing.share else "",
        "fingerprint": in_groups(trusted.fingerprint) if trusted else "",
        "lasts_until": trusted.lasts_until.date() if trusted else None,
    }
    return page(request, "trust/page.html", context)


@router.get("/authority.crt")
async def show_authority(request: Request, office: OfficeHere) -> Response:
    """The authority's certificate (DER), never its key."""
    sharing: Sharing = request.app.state.sharing
    if sharing.share is None:
        raise NotFound("Nothing is shared just now. Switch sharing on first, under Firm.")
    trusted = authority.trusted(office, sharing.share.called)
    return handed_out(request, trusted.certificate, "outlay.crt", CERTIFICATE)
