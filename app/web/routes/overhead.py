"""The overhead worksheet of the firm: a year's items and expectations, the rates that recover it, break-even."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.costing.overhead import CLASSES
from app.domain.year import OVERHEAD_KINDS
from app.services import overhead
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, version_of
from app.web.forms.overhead import MOST_ITEMS, WORKSHEET
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.routes.why import firm_why
from app.web.sheet_pages import NOTHING_SENT

HERE = "/firm/worksheet/overhead"
router = APIRouter(prefix=HERE)


def _show(request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT) -> Response:
    sheet = overhead.overhead_sheet(office)
    carried = [("all", "all direct cost"), ("hours", "hours"), *((one, one) for one in CLASSES)]
    context = {
        "sheet": sheet,
        "most_items": MOST_ITEMS,
        "item_kinds": list(OVERHEAD_KINDS.items()),
        "carried_by": carried,
        "classes": CLASSES,
        "firm_id": office.firm_id,
    }
    return leaf(request, office, "firm/overhead.html", context, versions=sheet.own, back=HERE, saved=saved)


@router.get("")
async def show_overhead(request: Request, office: OfficeHere) -> Response:
    """The worksheet."""
    return _show(request, office)


@router.post("")
async def save_overhead(request: Request, office: OfficeHere) -> Response:
    """Items, year and method as typed."""
    form = await request.form()
    parsed = read(form, WORKSHEET, office.firm())
    saved = save_form(
        parsed, lambda: overhead.save_worksheet(office, version_of(form), parsed.values, order_of(form, ""))
    )
    return _show(request, office, saved)


@router.post("/take")
async def take_rates(request: Request, office: OfficeHere) -> Response:
    """The rates that recover the year become the firm's, in one change that can be undone."""
    form = await request.form()
    saved = save_form(
        read(form, (), office.firm()), lambda: overhead.take_rates(office, version_of(form), order_of(form, ""))
    )
    return _show(request, office, saved)


@router.get("/why/{figure}")
async def show_overhead_why(request: Request, office: OfficeHere, figure: str) -> Response:
    """Where a figure of the worksheet comes from: beside it, or as a page of its own without script."""
    return firm_why(request, office, overhead.explained_overhead(office, figure[:60]), HERE)
