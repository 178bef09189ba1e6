"""Sales tax on the page of the build-up: the rate where the yard lies, works with a rule of their own."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.costing.tax_rules import WORK_TREATMENTS
from app.services import sales_tax
from app.web.access import OfficeHere
from app.web.forms.fields import choice, day, order_as_read, order_of, read, share, text, thing
from app.web.forms.saving import save_form
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/price/tax")

RATE = (share("tax_rate", "Rate"), text("tax_place", "Where it holds", most=80), day("tax_on", "Asked on"))
RULE = (
    thing("work_id", "Work", required=True),
    choice("tax", "How it is taxed", list(WORK_TREATMENTS)),
    text("tax_reason", "Why", most=1_000),
)


@router.post("/rate")
async def set_rate(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The rate of this yard, with place and day; empty: the firm's."""
    form = await request.form()
    parsed = read(form, RATE, office.firm(), whole=True)
    saved = save_form(parsed, lambda: sales_tax.set_rate(office, job_id, parsed.values, order_as_read(form, "")))
    return show(request, office, job_id, "price", focus="" if saved.ok else "tax-rate", saved=saved)


@router.post("/work")
async def set_work_rule(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A work taxed in a way of its own; no way: as its lines say."""
    form = await request.form()
    parsed = read(form, RULE, office.firm(), whole=True)
    rule = (parsed.values.get("tax", ""), parsed.values.get("tax_reason", ""))
    saved = save_form(
        parsed,
        lambda: sales_tax.set_work_rule(office, job_id, parsed.values["work_id"], rule, order_of(form, "")),
    )
    return show(request, office, job_id, "price", focus="" if saved.ok else "tax-work", saved=saved)
