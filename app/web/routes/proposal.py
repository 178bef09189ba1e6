"""The proposal sheet: how it will be offered, what was offered and signed, and the files handed out again."""

from collections.abc import Awaitable, Callable
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.domain.allowances import true_up_rule
from app.domain.job import Job, PriceShown
from app.services import agreements, closing_offers, completing, later_options, locks, mailing, proposals, revisions
from app.services.held_offers import held_now
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of
from app.web.forms.saving import save_form_async
from app.web.rendering import go, handed_out, page
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}")

FILES = {"offered": "proposal", "signed": "signed proposal"}


@router.get("/proposal")
async def show_proposal(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The proposal sheet."""
    return show(request, office, job_id, "proposal", focus=focus)


@router.get("/proposal/draft")
async def draft_page(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The draft as it would be printed, in the browser."""
    return _to_read(request, job_id, proposals.next_draft(office, sheet(office, job_id)).html)


@router.post("/proposal/offer")
async def offer(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Offer it: freeze the bytes."""
    return await _offered(request, office, job_id, proposals.offer, ours=True)


@router.get("/proposal/design")
async def design_page(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The design agreement as it would be printed, in the browser."""
    return _to_read(request, job_id, agreements.design_draft(office, sheet(office, job_id)).html)


@router.post("/proposal/design/offer")
async def offer_design(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Offer the design agreement: freeze the bytes."""
    return await _offered(request, office, job_id, agreements.offer_design, ours=True)


@router.post("/proposal/change/offer")
async def offer_change(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Offer the options ticked since the proposal was signed: freeze the bytes."""
    return await _offered(request, office, job_id, later_options.offer_change)


@router.post("/proposal/completion/offer")
async def offer_completion(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Offer the paper of the hand-over to be signed on a screen, and go there."""
    form, view = await request.form(), sheet(office, job_id)
    signs = _contractor(view) if form.get("we_sign") else ""
    saved = await save_form_async(
        Parsed(),
        lambda: completing.offer_completion(office, view, order_of(form, "Completion"), contractor=signs),
    )
    if saved.ok and saved.result is not None:
        return go(request, f"/show/{job_id}/sign/{saved.result.id}")
    return show(request, office, job_id, "after", saved=saved)


@router.post("/proposal/revisions/{revision_id}/withdraw")
async def withdraw(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """Take an offer back."""
    form = await request.form()

    async def act() -> object:
        return closing_offers.withdraw(office, str(revision_id), order_of(form, "Offer taken back"))

    saved = await save_form_async(Parsed(), act)
    return show(request, office, job_id, "proposal", saved=saved)


@router.get("/revisions/{revision_id}/{role}.pdf")
async def revision_file(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID, role: str) -> Response:
    """The very bytes that were offered or signed."""
    content = revisions.hand_out(office, str(revision_id), role)
    return handed_out(request, content, f"{FILES.get(role, role)}-{job_id}.pdf", "application/pdf")


@router.get("/revisions/{revision_id}/copy")
async def look_at_copy(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """Whether the signed copy is whole, by whose key it is locked, and which head of the record it prints."""
    one = revisions.of_this_job(office, job_id, str(revision_id))
    looked = await locks.look_at(office, revisions.hand_out(office, one.id, "signed"))
    return page(request, "proposal/copy.html", {"job_id": job_id, "one": one, "looked": looked})


@router.get("/face")
async def turn_to_client(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Ask before this device shows the client's pages."""
    return page(request, "show/turn.html", {"job": sheet(office, job_id).job})


def _to_read(request: Request, job_id: UUID, html: str) -> Response:
    """A paper in the browser, as it would be printed."""
    return page(request, "proposal/read.html", {"job_id": job_id, "body": proposals.body_of(html)})


async def _offered(
    request: Request, office: Office, job_id: UUID, offer: Callable[..., Awaitable[object]], *, ours: bool = False
) -> Response:
    """A paper offered from now on, and the sheet with it; `ours`: it may ask for the contractor's signature, too."""
    form = await request.form()
    view = sheet(office, job_id)
    signs = {"contractor": _contractor(view)} if ours and form.get("we_sign") else {}
    saved = await save_form_async(Parsed(), lambda: offer(office, view, order_of(form, "Offer"), **signs))
    return show(request, office, job_id, "proposal", saved=saved)


def _contractor(view: Sheet) -> str:
    return view.basis.firm.owner or view.basis.firm.name


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    made = proposals.next_draft(office, view)
    known = revisions.of_job(office, view.job.head.id)
    zone = view.job.head.time_zone
    return {
        "made": made,
        "revisions": known,
        "run_out": {one.id: revisions.has_run_out(office, one, zone) for one in known},
        "held": held_now(office, view),
        "letters": mailing.letters_of(office, view.job.head.id),
        "zone": zone,
        "later": later_options.later(office, view),
        "zones_of": zones_of,
        "rule_of": true_up_rule,
        "shown_choices": [(one.value, SHOWN[one]) for one in PriceShown],
        "has_fee": bool(view.job.head.design_fee_cents or view.basis.firm.design_fee_cents),
        "no_pdf": "" if pdf_available() else NO_PANGO,
        "moved_on": bool(known) and known[0].job_counter + 2 < view.opened.counter,
    }


def zones_of(job: Job) -> list[tuple[str, str]]:
    """The zones of a job as options of a list."""
    return [(str(zone.id), f"{zone.letter} {zone.title}") for zone in job.zones]


SHOWN = {
    PriceShown.WHOLE: "as one price",
    PriceShown.PHASE: "by phase",
    PriceShown.ZONE: "by zone",
    PriceShown.LINE: "by line",
}

register(SheetPage(key="proposal", title="Proposal", template="proposal/page.html", give=_give))
