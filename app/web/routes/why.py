"""Where a figure comes from: beside the sheet, or as a page of its own without script."""

from collections.abc import Callable
from decimal import Decimal
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.formats import Formats
from app.domain.takeoff.trace import Trace, number_text
from app.services.explaining import explained
from app.services.office import Office
from app.services.sheets import sheet
from app.web.access import OfficeHere
from app.web.rendering import page, wants_fragment
from app.web.sheet_pages import common, page_of

router = APIRouter(prefix="/jobs/{job_id}/why")

# canonical unit → from which amount on it is told in a larger one too: the unit, how many canonical units it holds
LARGER = {"cu ft": (27.0, "cu yd", 27.0), "lb": (2000.0, "tons", 2000.0)}

ONE = {"hours": "hour", "days": "day", "each": ""}
MANY = {"hour": "hours", "day": "days", "each": ""}


@router.get("/{figure:path}")
async def show_why(request: Request, office: OfficeHere, job_id: UUID, figure: str) -> Response:
    """The explanation of one figure: formula, numbers put in, result, source, and the same for each step."""
    view = sheet(office, job_id)
    firm = view.basis.firm
    context = {
        "trace": explained(office, view, figure[:300]),
        "result": telling(Formats(firm.system, firm.currency)),
        "job": view.job,
    }
    if request.headers.get("hx-request") == "true":
        return page(request, "why/_explanation.html", context)
    return page(request, "why/page.html", {**common(view, page_of("estimate")), **context})


def firm_why(request: Request, office: Office, trace: Trace, back: str) -> Response:
    """The same of a figure of the whole firm; `back` is the page it stands on."""
    firm = office.firm()
    context = {"trace": trace, "result": telling(Formats(firm.system, firm.currency)), "back": back}
    return page(request, "why/_explanation.html" if wants_fragment(request) else "firm/why.html", context)


def telling(fmt: Formats) -> Callable[[Trace], str]:
    """Tells the result of a trace: money as money, large volumes and weights in the trade's unit too."""

    def result(trace: Trace) -> str:
        unit = trace.unit
        if unit == fmt.currency:
            return fmt.money(round(trace.result * 100))
        if unit.startswith(f"{fmt.currency}/"):
            return f"{fmt.price(Decimal(repr(trace.result)))} per {unit.partition('/')[2]}"
        if unit == "%":
            return f"{number_text(round(trace.result, 2))}%"
        told = (
            f"{number_text(trace.result)} {MANY.get(unit, unit) if trace.result != 1 else ONE.get(unit, unit)}".strip()
        )
        least, larger, size = LARGER.get(unit, (float("inf"), "", 1.0))
        return f"{told} ({number_text(trace.result / size)} {larger})" if abs(trace.result) >= least else told

    return result
