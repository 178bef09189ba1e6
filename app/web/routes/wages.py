"""The worksheet of a class of people: wage, what comes on top of it, hours that jobs pay for."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import wages
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, version_of
from app.web.forms.saving import Saved, save_form
from app.web.forms.wages import MOST_ITEMS, MOST_UNBILLED, read_year
from app.web.leaf_pages import leaf
from app.web.routes.why import firm_why
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/firm/worksheet")


def _show(request: Request, office: Office, key: str, saved: Saved[Any] = NOTHING_SENT) -> Response:
    sheet = wages.wage_sheet(office, key)
    context = {"sheet": sheet, "most_items": MOST_ITEMS, "most_unbilled": MOST_UNBILLED}
    back = f"/firm/worksheet/labor_class/{key}"
    return leaf(request, office, "firm/worksheet.html", context, versions=sheet.own, back=back, saved=saved)


@router.get("/labor_class/{key}")
async def show_worksheet(request: Request, office: OfficeHere, key: str) -> Response:
    """The worksheet; before it is saved, one to begin from."""
    return _show(request, office, key)


@router.post("/labor_class/{key}")
async def save_worksheet(request: Request, office: OfficeHere, key: str) -> Response:
    """The year of pay as typed."""
    form = await request.form()
    parsed = read_year(form, office.firm())
    saved = save_form(
        parsed, lambda: wages.save_year(office, key, version_of(form), parsed.values["year"], order_of(form, ""))
    )
    return _show(request, office, key, saved)


@router.post("/shares/labor_class/{key}")
async def remove_worksheet(request: Request, office: OfficeHere, key: str) -> Response:
    """Back to shares of the wage."""
    form = await request.form()
    saved = save_form(
        read(form, (), office.firm()),
        lambda: wages.save_year(office, key, version_of(form), None, order_of(form, "")),
    )
    return _show(request, office, key, saved)


@router.get("/labor_class/{key}/why/{figure}")
async def show_wage_why(request: Request, office: OfficeHere, key: str, figure: str) -> Response:
    """Where a figure of the worksheet comes from: beside it, or as a page of its own without script."""
    return firm_why(
        request, office, wages.explained_wage(office, key, figure[:60]), f"/firm/worksheet/labor_class/{key}"
    )
