"""The whole build-up on one page: forward, by zone and phase, and backwards from a price; the job's own terms."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData

from app.domain.costing.parts import PARTS
from app.domain.job import CARRIERS
from app.services import price_view
from app.services.office import Office
from app.services.price_view import Asked, price_sheet, read_backwards
from app.services.sales_tax import tax_sheet
from app.services.sheets import Sheet, kept, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import LONGEST_FOCUS, Parsed, money, order_as_read, order_of, read, share, text
from app.web.forms.saving import save_form
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/price")

ASK = (money("price", "Price"), share("margin", "Margin"))
OWN_MARGIN = (*ASK, text("own_margin_reason", "Why", required=True, most=1_000))
ADJUSTMENT = (
    *ASK,
    text("adjustment_title", "What it is called", required=True, most=80),
    text("adjustment_reason", "Why", required=True, most=1_000),
)


@router.get("")
async def show_price(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The build-up; with a price or a margin in the address, what it leaves. Nothing is changed."""
    parsed = read(FormData(dict(request.query_params)), ASK, office.firm())
    saved = save_form(parsed, lambda: read_backwards(sheet(office, job_id), _asked(parsed)))
    return show(request, office, job_id, "price", focus=focus[:LONGEST_FOCUS], saved=saved)


@router.post("/own-margin")
async def set_own_margin(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """This job at a margin of its own, with the reason."""
    form = await request.form()
    parsed = read(form, OWN_MARGIN, office.firm(), whole=True)
    order = order_as_read(form, "")
    saved = save_form(
        parsed,
        lambda: price_view.set_own_margin(office, job_id, _asked(parsed), parsed.values["own_margin_reason"], order),
    )
    return show(request, office, job_id, "price", focus="" if saved.ok else "own-margin", saved=saved)


@router.post("/adjustment")
async def set_adjustment(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A named amount put on or taken off, with the reason."""
    form = await request.form()
    parsed = read(form, ADJUSTMENT, office.firm(), whole=True)
    words = (parsed.values.get("adjustment_title", ""), parsed.values.get("adjustment_reason", ""))
    order = order_as_read(form, "")
    saved = save_form(parsed, lambda: price_view.set_adjustment(office, job_id, _asked(parsed), words, order))
    return show(request, office, job_id, "price", focus="" if saved.ok else "adjustment", saved=saved)


@router.post("/as-the-firm")
async def take_firm_terms(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Back to the firm's margin, nothing put on or taken off."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: price_view.take_firm_terms(office, job_id, order_as_read(form, "")))
    return show(request, office, job_id, "price", saved=saved)


@router.post("/offered-risk/{key}")
async def take_offered_risk(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """A risk that the site gives reason for, listed with figures to begin from."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: price_view.take_offered_risk(office, job_id, key[:80], order_of(form, "")))
    return show(request, office, job_id, "price", saved=saved)


def _asked(parsed: Parsed) -> Asked:
    return Asked(price_cents=parsed.values.get("price"), margin=parsed.values.get("margin"))


def _give(request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    by = PARTS.get(request.query_params.get("by", "zone"), "zone")
    it = kept(office, ("price sheet", view.job.head.id, by), view.opened, lambda: price_sheet(office, view, by))
    kind, _, key = focus.partition(":")
    open_risk = next((one for one, _ in it.risks if kind == "risk" and str(one.id) == key), None)
    return {
        "it": it,
        "tax": kept(office, ("tax sheet", view.job.head.id), view.opened, lambda: tax_sheet(view)),
        "open_risk": open_risk,
        "carriers": list(CARRIERS.items()),
        "zones": [(str(zone.id), f"{zone.letter} {zone.title}".strip()) for zone in view.job.zones],
        "parts_by": [("zone", "Zone"), ("phase", "Phase"), ("class", "Class of cost")],
    }


register(SheetPage(key="price", title="From cost to price", template="price/page.html", give=_give, part_of="estimate"))
