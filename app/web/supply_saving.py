"""Forms of the Orders sheet: read, saved by one service call, and shown on the sheet with their place open."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response

from app.services import counting
from app.services import supply_arrivals as arrivals
from app.services import supply_events as events
from app.services.changes import Applied
from app.services.jobs import Order
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.forms import supply as forms
from app.web.forms.fields import Field, order_as_read, order_of, read
from app.web.forms.saving import Saved, save_form
from app.web.forms.with_file import save_with_file
from app.web.sheet_pages import show

TYPED_OVER = frozenset({"confirm", "deposit"})  # their fields show what is there
Action = Callable[[Sheet, Mapping[str, Any], Order], object]


async def delivered(request: Request, office: Office, view: Sheet, order_id: UUID) -> Saved[Applied | None]:
    """What came of an order, with a picture, written down in the office or in the yard."""
    lines = events.order_there(view, order_id).order.lines
    return await save_with_file(
        request,
        office,
        forms.delivery(lines),
        "Delivery",
        lambda parsed, content, order: arrivals.deliver(
            office, view, order_id, forms.came_of(parsed, lines), content, order
        ),
    )


async def left_counted(request: Request, office: Office, view: Sheet) -> Saved[Applied | None]:
    """What is left of materials, counted in the office or in the yard: one of them, or as many as were typed."""
    form = await request.form()
    materials = tuple(one.material for one in counting.count_rows(office, view))
    parsed = read(form, forms.left_at_the_end(materials), office.firm(), whole=True)
    typed = forms.counted_of(parsed, materials)
    return save_form(
        parsed,
        lambda: counting.count(
            office, view, parsed.values["day"], typed, parsed.values["words"] or "", order_of(form, "Counted")
        ),
    )


async def done(
    request: Request, office: Office, job_id: UUID, fields: Sequence[Field], action: Action, wrong: str = ""
) -> Response:
    """A form read, saved and shown on the sheet; refused, with its place open."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, fields, office.firm(), whole=True)
    saved = save_form(parsed, lambda: action(view, parsed.values, order_of(form, "Order")))
    return show(request, office, job_id, "orders", focus="" if saved.ok else wrong, saved=saved)


async def of_order(
    request: Request,
    office: Office,
    job_id: UUID,
    order_id: UUID,
    what: str,
    fields: Sequence[Field],
    action: Action,
) -> Response:
    """The same of one order, which stays open. Where its fields show what is there, it was read at a version."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, fields, office.firm(), whole=True)
    order = (order_as_read if what in TYPED_OVER else order_of)(form, what.capitalize())
    saved = save_form(parsed, lambda: action(view, parsed.values, order))
    focus = f"order:{order_id}" + ("" if saved.ok else f":{what}")
    return show(request, office, job_id, "orders", focus=focus, saved=saved)
