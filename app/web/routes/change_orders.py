"""Change orders: what today's plan changes of the contract, offered, declined, signed; work not signed for."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.domain.job import PAID, REASONS
from app.services import change_orders
from app.services.checks import Going
from app.services.office import Office
from app.services.proposals import body_of
from app.services.sheets import Sheet, sheet
from app.services.unsigned_work import RULE
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of, read, text
from app.web.forms.saving import save_form, save_form_async
from app.web.rendering import page
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}")

KEY = "change-orders"
WHY = (text("why", "What they said", most=500),)
START = (text("finding", "Which work", most=600), text("by", "Your name", most=80), text("reason", "Why", most=500))


@router.get("/change-orders")
async def show_change_orders(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The change order in hand, and all that were offered."""
    return show(request, office, job_id, KEY, focus=focus[:100])


@router.get("/change-orders/draft")
async def read_draft(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The change order in hand as it would be printed, in the browser."""
    html = change_orders.draft_html(office, sheet(office, job_id))
    return page(request, "change_orders/read.html", {"job_id": job_id, "body": body_of(html)})


@router.post("/proposal/change-order/offer")
async def offer(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Offer it: freeze the bytes."""
    form = await request.form()
    view = sheet(office, job_id)
    saved = await save_form_async(
        Parsed(), lambda: change_orders.offer(office, view, order_of(form, "Change order offered"))
    )
    return show(request, office, job_id, KEY, saved=saved)


@router.post("/proposal/revisions/{revision_id}/decline")
async def decline(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """The client does not agree: the day, and why."""
    form = await request.form()
    parsed = read(form, WHY, office.firm(), whole=True)
    view, why = sheet(office, job_id), parsed.values.get("why") or ""
    order = order_of(form, "Change order declined")
    saved = save_form(parsed, lambda: change_orders.decline(office, view, str(revision_id), why, order))
    return show(request, office, job_id, KEY, saved=saved)


@router.post("/change-orders/start")
async def start(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Work starts that is not signed for: who says so, and why."""
    form = await request.form()
    parsed = read(form, START, office.firm(), whole=True)
    told = {name: parsed.values.get(name) or "" for name in ("finding", "by", "reason")}
    going = Going(by=told["by"], reason=told["reason"])
    view, order = sheet(office, job_id), order_of(form, "")
    saved = save_form(parsed, lambda: change_orders.start_unsigned(office, view, told["finding"], going, order))
    return show(request, office, job_id, KEY, focus="" if saved.ok else f"start:{told['finding']}", saved=saved)


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    known = change_orders.in_hand(office, view)
    agreed = known.agreed.contract.standing.job.unit_prices if known else ()
    return {
        "hand": known,
        "states": change_orders.states_of(office, view),
        "agreed_prices": agreed,
        "agreed_titles": {str(one.id): one.title for one in agreed},
        "agreed_units": {str(one.id): one.unit for one in agreed},
        "reasons": list(REASONS.items()),
        "paid": list(PAID.items()),
        "unsigned": [one for one in view.readiness.stops if one.rule == RULE],
        "started": [one for one in view.readiness.settled if one.finding.rule == RULE],
        "no_pdf": "" if pdf_available() else NO_PANGO,
    }


register(SheetPage(key=KEY, title="Change orders", template="change_orders/page.html", give=_give, part_of="proposal"))
