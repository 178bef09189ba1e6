"""The firm's open invoices by age, and tables for the bookkeeper."""

from datetime import date

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import receivables
from app.services.book import own
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.leaf_pages import leaf
from app.web.rendering import handed_out

router = APIRouter(prefix="/firm/money")
FIRST_YEAR = 1970


@router.get("")
async def show_open(request: Request, office: OfficeHere) -> Response:
    """All open invoices."""
    context = {"it": receivables.receivables(office)}
    return leaf(request, office, "firm/money.html", context, versions=own(office, "firm"), back="/firm/money")


@router.get("/invoices.csv")
async def invoices(request: Request, office: OfficeHere, year: str = "") -> Response:
    """The invoices of a year as a table."""
    one = _year(office, year)
    return handed_out(request, receivables.invoice_table(office, one), f"invoices-{one}.csv", "text/csv")


@router.get("/payments.csv")
async def payments(request: Request, office: OfficeHere, year: str = "") -> Response:
    """The payments of a year as a table."""
    one = _year(office, year)
    return handed_out(request, receivables.payment_table(office, one), f"payments-{one}.csv", "text/csv")


@router.get("/spending.csv")
async def spending(request: Request, office: OfficeHere, year: str = "") -> Response:
    """What was spent in a year, by month, as a table."""
    one = _year(office, year)
    return handed_out(request, await receivables.spending_table(office, one), f"spending-{one}.csv", "text/csv")


def _year(office: Office, typed: str) -> int:
    """The year that is asked for; this one where it is none."""
    known = typed.isascii() and typed.isdigit() and FIRST_YEAR <= int(typed[:6]) <= date.max.year
    return int(typed) if known else receivables.today_of(office).year
