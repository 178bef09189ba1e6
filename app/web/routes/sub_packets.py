"""Packets given to subcontractors: released or held, paid, and the lien releases that came back."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.domain.checks.sub_standing import ADVICE, NAMES, State
from app.domain.job import LIEN_RELEASES
from app.services import sub_packets
from app.services.checks import Going
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.sub_papers import MOST_BYTES, shown_as
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of, read
from app.web.forms.saving import save_form
from app.web.forms.sub_packets import GOING, PAID, RELEASE
from app.web.rendering import handed_out
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/sub-packets")


@router.get("")
async def show_packets(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """Every packet that was given away."""
    return show(request, office, job_id, "sub-packets", focus=focus[:90])


@router.post("/{packet_id}/release")
async def release(request: Request, office: OfficeHere, job_id: UUID, packet_id: UUID) -> Response:
    """They may begin."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, GOING, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: sub_packets.release(office, view, packet_id, _going(parsed), order_of(form, "Released"))
    )
    return show(request, office, job_id, "sub-packets", focus="" if saved.ok else f"release:{packet_id}", saved=saved)


@router.post("/{packet_id}/hold")
async def hold_back(request: Request, office: OfficeHere, job_id: UUID, packet_id: UUID) -> Response:
    """They may not begin after all."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: sub_packets.hold_back(office, view, packet_id, order_of(form, "Held back")))
    return show(request, office, job_id, "sub-packets", saved=saved)


@router.post("/{packet_id}/paid")
async def pay(request: Request, office: OfficeHere, job_id: UUID, packet_id: UUID) -> Response:
    """What they were paid."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, PAID, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: sub_packets.pay(office, view, packet_id, parsed.values, _going(parsed), order_of(form, "Paid")),
    )
    return show(request, office, job_id, "sub-packets", focus="" if saved.ok else f"pay:{packet_id}", saved=saved)


@router.post("/payment/{payment_id}/lien-release")
async def receive_release(request: Request, office: OfficeHere, job_id: UUID, payment_id: UUID) -> Response:
    """A lien release came for a payment."""
    view = sheet(office, job_id)
    async with request.form() as form:
        sent = form.get("file")
        content = await sent.read(MOST_BYTES + 1) if isinstance(sent, UploadFile) else b""
    parsed = read(form, RELEASE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: sub_packets.receive_release(
            office, view, payment_id, parsed.values, content, order_of(form, "Lien release")
        ),
    )
    return show(request, office, job_id, "sub-packets", focus="" if saved.ok else f"lien:{payment_id}", saved=saved)


@router.post("/lien-release/{release_id}/remove")
async def drop_release(request: Request, office: OfficeHere, job_id: UUID, release_id: UUID) -> Response:
    """One written down by mistake."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: sub_packets.drop_release(office, view, release_id, order_of(form, "Taken out")))
    return show(request, office, job_id, "sub-packets", saved=saved)


@router.get("/lien-release/{release_id}/paper")
async def release_paper(request: Request, office: OfficeHere, job_id: UUID, release_id: UUID) -> Response:
    """The paper of a lien release, for us."""
    content = sub_packets.release_paper(office, sheet(office, job_id), release_id)
    return handed_out(request, content, *shown_as(content))


def _going(parsed: Parsed) -> Going:
    return Going(by=parsed.values.get("by") or "", reason=parsed.values.get("reason") or "")


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {
        "packets": sub_packets.given_packets(view),
        "kinds": tuple(LIEN_RELEASES.items()),
        "lien_words": LIEN_RELEASES,
        "paper_names": NAMES,
        "states": {one.name: one for one in State},
        "advice": ADVICE,
        "owner": office.firm().owner,
    }


register(
    SheetPage(key="sub-packets", title="Sub packets", template="sub_packets/page.html", give=_give, part_of="build")
)
