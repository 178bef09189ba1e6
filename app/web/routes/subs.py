"""Subcontractors on a job: packets, quotes side by side, what is in and out of each, the accepted one."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData, UploadFile

from app.documents.pdf import NO_PANGO, pdf_available, pdf_payload
from app.domain.errors import OutlayError
from app.domain.units import parse_money
from app.services import subs
from app.services.office import Office
from app.services.packet_paper import packet_pdf
from app.services.sheets import Sheet, sheet
from app.services.sub_papers import shown_as
from app.services.subs import Said
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, Texts, order_of
from app.web.forms.saving import save_form
from app.web.rendering import handed_out
from app.web.sheet_pages import SheetPage, register, show
from app.worker import run_in_worker

router = APIRouter(prefix="/jobs/{job_id}/subs")
MOST_LINES = 400


@router.get("")
async def show_subs(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """Packets with their quotes."""
    return show(request, office, job_id, "subs", focus=focus[:90])


@router.get("/packet/{packet_id}.pdf")
async def packet_paper(request: Request, office: OfficeHere, job_id: UUID, packet_id: UUID) -> Response:
    """A packet on paper, for those who quote."""
    made = packet_pdf(office, sheet(office, job_id), packet_id)
    content = await run_in_worker("pdf", pdf_payload(made))
    return handed_out(request, content, f"request-{packet_id}.pdf", "application/pdf")


@router.post("/quote/{quote_id}/scope")
async def say_scope(request: Request, office: OfficeHere, job_id: UUID, quote_id: UUID) -> Response:
    """What is in a quote, out of it, or unclear, line by line."""
    form = await request.form()
    parsed, said = _said(form)
    saved = save_form(parsed, lambda: subs.say_scope(office, job_id, quote_id, said, order_of(form, "")))
    return show(request, office, job_id, "subs", focus=f"quote:{quote_id}", saved=saved)


def _said(form: FormData) -> tuple[Parsed, dict[str, Said]]:
    """The lines of a scope as the form holds them: `line-N` names the line, its fields carry the same number."""
    said: dict[str, Said] = {}
    errors, typed = Texts(), Texts()
    for at in range(MOST_LINES):
        key = form.get(f"line-{at}")
        if not isinstance(key, str):
            break
        added = str(form.get(f"added-{at}", "")).strip()
        typed[f"added-{at}"] = added
        try:
            cents = parse_money(added) if added else None
        except OutlayError as wrong:
            errors[f"added-{at}"], cents = wrong.sentence, None
        stands, elsewhere = str(form.get(f"stands-{at}", "")), str(form.get(f"elsewhere-{at}", "")).strip()[:300]
        said[key[:400]] = Said(stands=stands, added_cents=cents, elsewhere=elsewhere)
    return Parsed(errors=errors, typed=typed), said


@router.post("/quote/{quote_id}/accept")
async def accept(request: Request, office: OfficeHere, job_id: UUID, quote_id: UUID) -> Response:
    """This quote is the one that is priced; or not any more."""
    form = await request.form()
    on = form.get("accept", "yes") == "yes"
    saved = save_form(Parsed(), lambda: subs.accept(office, job_id, quote_id, order_of(form, ""), on=on))
    return show(request, office, job_id, "subs", focus="" if saved.ok else f"quote:{quote_id}", saved=saved)


@router.post("/quote/{quote_id}/paper")
async def attach(request: Request, office: OfficeHere, job_id: UUID, quote_id: UUID) -> Response:
    """The paper it came on."""
    async with request.form() as form:
        sent = form.get("file")
        content = await sent.read() if isinstance(sent, UploadFile) else b""
    saved = save_form(Parsed(), lambda: subs.attach(office, job_id, quote_id, content, order_of(form, "")))
    return show(request, office, job_id, "subs", focus=f"quote:{quote_id}", saved=saved)


@router.get("/quote/{quote_id}/paper")
async def paper(request: Request, office: OfficeHere, job_id: UUID, quote_id: UUID) -> Response:
    """The paper it came on, for us."""
    content = subs.paper_of(office, job_id, quote_id)
    return handed_out(request, content, *shown_as(content))


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    it = subs.subs_page(office, view)
    kind, _, key = focus.partition(":")
    packet = next((one for one in it.packets if kind == "packet" and str(one.packet.id) == key), None)
    held = [(one, column) for one in it.packets for column in one.columns]
    quote = next((pair for pair in held if kind == "quote" and str(pair[1].quote.id) == key), None)
    adding = next((one for one in it.packets if kind == "ask" and str(one.packet.id) == key), None)
    return {
        "it": it,
        "open_packet": packet,
        "open_quote": quote,
        "adding": adding,
        "no_pdf": "" if pdf_available() else NO_PANGO,
    }


register(SheetPage(key="subs", title="Subcontractors", template="subs/page.html", give=_give, part_of="estimate"))
