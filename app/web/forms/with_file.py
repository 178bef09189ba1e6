"""A form that brings a file: read, saved by one service call, and let go of what came in pieces once it was taken."""

from collections.abc import Awaitable, Callable, Sequence
from typing import TypeVar

from fastapi import Request

from app.services.jobs import Order
from app.services.office import Office
from app.web.forms.fields import Field, Group, Parsed, order_of, read
from app.web.forms.in_pieces import file_of, let_go
from app.web.forms.saving import Saved, save_form_async

T = TypeVar("T")
Action = Callable[[Parsed, bytes, Order], Awaitable[T]]


async def save_with_file(
    request: Request, office: Office, fields: Sequence[Field | Group], what: str, action: Action[T]
) -> Saved[T]:
    """Read the fields and the file, and run the action on them; `what` names the change where the service does not."""
    async with request.form() as form:
        content = await file_of(office, form)
    parsed = read(form, fields, office.firm(), whole=True)
    saved = await save_form_async(parsed, lambda: action(parsed, content, order_of(form, what)))
    if saved.ok:
        let_go(office, form)
    return saved
