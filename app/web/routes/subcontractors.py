"""The firm's book of subcontractors: trade, phone, license, until when the insurance holds."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import book
from app.services.office import Office
from app.services.subs import add_subcontractor
from app.web.access import OfficeHere
from app.web.forms.book import BOOK
from app.web.forms.fields import order_of, read, version_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/subcontractors")


def _show(request: Request, office: Office, *, focus: str = "", saved: Saved[Any] = NOTHING_SENT) -> Response:
    known = sorted(office.basis().subcontractors.values(), key=lambda one: (one.trade, one.title))
    context = {"subs": known, "focus": focus, "today": office.clock().date()}
    versions = book.own(office, "subcontractor")
    back = "/subcontractors" + (f"?focus={focus}" if focus else "")
    return leaf(request, office, "subs/book.html", context, versions=versions, back=back, saved=saved)


@router.get("")
async def show_book(request: Request, office: OfficeHere, focus: str = "") -> Response:
    """Everybody in the book."""
    return _show(request, office, focus=focus[:90])


@router.post("/new")
async def add(request: Request, office: OfficeHere) -> Response:
    """Somebody new."""
    form = await request.form()
    parsed = read(form, BOOK["subcontractor"], office.firm(), whole=True)
    saved = save_form(parsed, lambda: add_subcontractor(office, parsed.values, order_of(form, "")))
    return _show(request, office, focus=str(saved.result) if saved.ok else "new", saved=saved)


@router.post("/{key}")
async def change(request: Request, office: OfficeHere, key: str) -> Response:
    """What is known of one."""
    form = await request.form()
    parsed = read(form, BOOK["subcontractor"], office.firm())
    order = order_of(form, f"Subcontractor: {parsed.values.get('title', '')}")
    saved = save_form(
        parsed, lambda: book.set_fields(office, "subcontractor", key, version_of(form), parsed.values, order)
    )
    return _show(request, office, focus=key, saved=saved)
