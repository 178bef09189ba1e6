"""The price book: search, prices in place, suppliers, the firm's own materials."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.units import TRADE_UNITS
from app.services import book, prices
from app.services.first_call import waiting_for_prices
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.book import BOOK
from app.web.forms.book_fields import rate
from app.web.forms.fields import order_of, read, version_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.rendering import page, wants_fragment
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/prices")
UNITS = sorted(((key, unit.one) for key, unit in TRADE_UNITS.items()), key=lambda one: one[1])
NEW_MATERIAL = (*BOOK["material"], rate("unit_price", "Price"))


def _show(
    request: Request,
    office: Office,
    *,
    focus: str = "",
    job: UUID | None = None,
    saved: Saved[Any] = NOTHING_SENT,
    **asked: str,
) -> Response:
    waiting = waiting_for_prices(office, job) if job else None
    found = prices.price_book(office, focus=focus, waiting=waiting, **asked)
    context = {
        "book": found,
        "waiting": waiting,
        "focus": focus,
        "units": UNITS,
        "asked": {"search": "", "show": "", "by": "role", **asked},
    }
    back = "/prices" + (f"?focus={focus}" if focus else "")
    return leaf(request, office, "prices/page.html", context, versions=found.own, back=back, saved=saved)


@router.get("")
async def show_prices(
    request: Request,
    office: OfficeHere,
    search: str = "",
    show: str = "",
    by: str = "role",
    focus: str = "",
    job: UUID | None = None,
) -> Response:
    """The price book; with a job, only what that job waits for a price of."""
    return _show(request, office, focus=focus[:90], job=job, search=search[:100], show=show[:10], by=by[:10])


@router.get("/row/{key}")
async def show_row(request: Request, office: OfficeHere, key: str, more: bool = False) -> Response:
    """One row, closed or with all its fields."""
    return _row(request, office, key, more=more) if wants_fragment(request) else _show(request, office, focus=key)


@router.post("/price/{key}")
async def save_price(request: Request, office: OfficeHere, key: str) -> Response:
    """The price of a material; htmx gets its row back."""
    form = await request.form()
    parsed = read(form, BOOK["price"], office.firm())
    order = order_of(form, "Price")
    saved = save_form(parsed, lambda: prices.set_price(office, key, version_of(form), parsed.values, order))
    if wants_fragment(request):
        return _row(request, office, key, more="more" in form, saved=saved)
    return _show(request, office, focus=key, saved=saved)


def _row(request: Request, office: Office, key: str, *, more: bool, saved: Saved[Any] = NOTHING_SENT) -> Response:
    row, versions = prices.price_row(office, key)
    context = {
        "row": row,
        "more": more and not (saved is not NOTHING_SENT and saved.ok),
        "view": versions,
        "suppliers": office.basis().suppliers,
        "saved": saved,
    }
    return page(request, "prices/_one.html", context, status=saved.status)


@router.post("/supplier/new")
async def new_supplier(request: Request, office: OfficeHere) -> Response:
    """A new supplier."""
    form = await request.form()
    parsed = read(form, BOOK["supplier"], office.firm(), whole=True)
    saved = save_form(parsed, lambda: prices.add_supplier(office, parsed.values, order_of(form, "")))
    return _show(request, office, focus="supplier", saved=saved)


@router.post("/supplier/{key}")
async def save_supplier(request: Request, office: OfficeHere, key: str) -> Response:
    """A supplier's name, phone, note."""
    form = await request.form()
    parsed = read(form, BOOK["supplier"], office.firm())
    order = order_of(form, "Supplier")
    saved = save_form(parsed, lambda: book.set_fields(office, "supplier", key, version_of(form), parsed.values, order))
    return _show(request, office, focus=f"supplier:{key}", saved=saved)


@router.post("/material/new")
async def new_material(request: Request, office: OfficeHere) -> Response:
    """A material of the firm's own."""
    form = await request.form()
    parsed = read(form, NEW_MATERIAL, office.firm(), whole=True)
    fields = {name: value for name, value in parsed.values.items() if name != "unit_price" and value is not None}
    price = parsed.values.get("unit_price")
    saved = save_form(parsed, lambda: prices.add_material(office, fields, price, order_of(form, "")))
    return _show(request, office, focus=str(saved.result) if saved.ok else "new", saved=saved)
