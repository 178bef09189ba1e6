"""What came of an order, what was billed for it, and its paper: the rest of the Orders sheet's addresses."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.interchange.supply_sheet import supply_text
from app.services import supply_arrivals as arrivals
from app.services import supply_events as events
from app.services.jobs import Order
from app.services.sheets import Sheet, sheet
from app.services.supply_paper import supply_pdf, supply_sheet
from app.web.access import OfficeHere
from app.web.crew_screens import printed
from app.web.forms import supply as forms
from app.web.forms.fields import Parsed
from app.web.rendering import handed_out
from app.web.sheet_pages import show
from app.web.supply_saving import delivered, done, of_order

router = APIRouter(prefix="/jobs/{job_id}/orders")


@router.get("/{order_id}.pdf")
async def supply_on_paper(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """One order to print or send: amounts, day and spot, no money."""
    return await printed(request, supply_pdf(office, sheet(office, job_id), order_id), f"order-{order_id}.pdf")


@router.get("/{order_id}.txt")
async def supply_plain(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """The same as plain text, to paste into a message."""
    words = supply_text(supply_sheet(office, sheet(office, job_id), order_id))
    return handed_out(request, words.encode(), f"order-{order_id}.txt", "text/plain; charset=utf-8")


@router.post("/{order_id}/delivery")
async def deliver(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """What came, with a picture."""
    saved = await delivered(request, office, sheet(office, job_id), order_id)
    focus = f"order:{order_id}" + ("" if saved.ok else ":delivery")
    return show(request, office, job_id, "orders", focus=focus, saved=saved)


@router.post("/{order_id}/bill")
async def bill(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """A bill on it."""
    lines = events.order_there(sheet(office, job_id), order_id).order.lines

    def billed(view: Sheet, values: Mapping[str, Any], order: Order) -> object:
        rows = forms.billed_of(Parsed(values=values), lines)
        return arrivals.bill(office, view, order_id, values, rows, order)

    return await of_order(request, office, job_id, order_id, "bill", forms.bill(lines), billed)


@router.post("/{kind}/{thing_id}/take-out")
async def take_out(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """What was written by mistake goes; undo brings it back."""
    view = sheet(office, job_id)
    there = next((one for one in view.job.deliveries if one.id == thing_id), None)
    return await done(
        request,
        office,
        job_id,
        (),
        lambda view, _, order: events.take_out(office, view, kind, thing_id, order),
        f"order:{there.order_id}" if there else "",
    )
