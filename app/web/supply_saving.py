"""Forms of the Orders sheet: read, saved by one service call, and shown on the sheet with their place open."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response

from app.services.jobs import Order
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.forms.fields import Field, order_as_read, order_of, read
from app.web.forms.saving import save_form
from app.web.sheet_pages import show

TYPED_OVER = frozenset({"confirm", "deposit"})  # their fields show what is there
Action = Callable[[Sheet, Mapping[str, Any], Order], object]


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
