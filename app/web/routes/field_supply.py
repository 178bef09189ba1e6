"""Orders for the crew: what is bought, what is expected and where it is put down, what came. No money in any byte."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.interchange.order_sheets import LISTS, bought_words, counted, notes_of, sent_words
from app.services.field import field_view
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.supply import supply
from app.services.supply_paper import spot_drawing
from app.web.access import OfficeHere
from app.web.forms.saving import Saved
from app.web.rendering import go, page, svg
from app.web.sheet_pages import NOTHING_SENT
from app.web.supply_saving import delivered

router = APIRouter(prefix="/field/{job_id}/orders")


@router.get("")
async def show_orders(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What is expected, and what is bought of whom by when: amounts, no money, none of our notes."""
    return _show(request, office, field_view(office, job_id))


@router.post("/{order_id}/delivery")
async def deliver(request: Request, office: OfficeHere, job_id: UUID, order_id: UUID) -> Response:
    """What came, whole, short or broken, with a picture."""
    view = field_view(office, job_id)
    saved = await delivered(request, office, view, order_id)
    if not saved.ok:
        return _show(request, office, view, saved, str(order_id))
    return go(request, f"/field/{job_id}/orders#order-{order_id}")


def _show(request: Request, office: Office, view: Sheet, saved: Saved[Any] = NOTHING_SENT, wrong: str = "") -> Response:
    found = supply(office, view)
    sent = [one for one in found.orders if one.order.sent_on and not one.order.called_off_on]
    spots = {one.order.id: found.spot(one.order) for one in sent}
    context = {
        "job": found.build.stands.job,
        "today": view.today,
        "orders": found.build.orders,
        "sent": sorted(sent, key=lambda one: (not one.is_open, one.expected is None, one.expected, one.order.number)),
        "spots": spots,
        "drawings": {key: svg(spot_drawing(found, spot)) for key, spot in spots.items() if spot.point},
        "home": f"/field/{view.job.head.id}",
        "saved": saved,
        "wrong": wrong,
        "nothing": NOTHING_SENT,
        "lists": LISTS,
        "bought": bought_words,
        "counted": counted,
        "sent_words": sent_words,
        "notes_of": notes_of,
    }
    return page(request, "field/orders.html", context, status=saved.status)
