"""Quick math: one calculation of a trade, answered while it is typed, and put into a job from there."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import quick_math, quick_math_in_job
from app.services.jobs import Order
from app.services.office import Office
from app.services.quick_math import QuickSheet, quick_sheet
from app.web.access import OfficeHere
from app.web.faces import is_ours
from app.web.forms.fields import Parsed, as_uuid, order_of
from app.web.forms.saving import Saved, save_form
from app.web.rendering import go, page, wants_fragment
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/quick-math")


@router.get("")
async def show_quick_math(request: Request, search: str = "", job: str = "") -> Response:
    """All calculations, by trade."""
    search = search[:100]
    by_trade = quick_math.listed(search, money=is_ours(request))
    return page(request, "quick/page.html", {"by_trade": by_trade, "search": search, "chosen": as_uuid(job)})


@router.get("/{key}")
async def show_calculation(request: Request, office: OfficeHere, key: str) -> Response:
    """One calculation with what was typed; htmx gets its answer alone."""
    sheet = _sheet(request, office, key)
    context = {**_context(request, office, sheet), "jobs": _jobs(request, office)}
    template = "quick/_answer.html" if wants_fragment(request) else "quick/calculation.html"
    return page(request, template, {**context, "alone": wants_fragment(request)}, status=sheet.status)


@router.get("/{key}/job")
async def show_places(request: Request, office: OfficeHere, key: str) -> Response:
    """Where in a job the answer may go."""
    job_id = as_uuid(request.query_params.get("job", ""))
    sheet = _sheet(request, office, key)
    if job_id is None or sheet.answer is None:
        return go(request, f"/quick-math/{sheet.calculation.key}?{urlencode(sheet.typed)}")
    return _places(request, office, sheet, job_id)


@router.post("/{key}/job/{job_id}")
async def add_to_job(request: Request, office: OfficeHere, key: str, job_id: UUID) -> Response:
    """The answer put into a job, as one change."""
    form = await request.form()
    ours = is_ours(request)
    typed = {name: str(value) for name, value in form.items()}
    sheet = quick_sheet(office, key, typed, money=ours, job_id=job_id)
    where = typed.get("where", "")[:90]
    order = order_of(form, "")
    saved = save_form(Parsed(), lambda: quick_math_in_job.add(office, sheet, job_id, where, order, ours=ours))
    if not saved.ok:
        return _places(request, office, sheet, job_id, saved)
    return go(request, _then(office, job_id, where, order, ours=ours))


def _sheet(request: Request, office: Office, key: str) -> QuickSheet:
    """A calculation as asked for; its editions are those of the job it is asked for, where that is there."""
    job_id = as_uuid(request.query_params.get("job", ""))
    return quick_sheet(office, key, request.query_params, money=is_ours(request), job_id=job_id)


def _then(office: Office, job_id: UUID, where: str, order: Order, *, ours: bool) -> str:
    if not ours:
        return f"/field/{job_id}"
    if where == quick_math_in_job.NOTE:
        return f"/jobs/{job_id}/build#from-yard"
    focus = quick_math_in_job.focus_of(office, job_id, where, order.change_id)
    return f"/jobs/{job_id}/plan{f'?focus={focus}#margin-part' if focus else ''}"


def _places(
    request: Request, office: Office, sheet: QuickSheet, job_id: UUID, saved: Saved[Any] = NOTHING_SENT
) -> Response:
    found, goes = quick_math_in_job.places(office, sheet, job_id, ours=is_ours(request))
    context = {**_context(request, office, sheet), "goes_into": found, "goes": goes, "saved": saved}
    return page(request, "quick/place.html", context, status=saved.status)


def _context(request: Request, office: Office, sheet: QuickSheet) -> Mapping[str, Any]:
    chosen = as_uuid(request.query_params.get("job", ""))
    return {
        "sheet": sheet,
        "chosen": chosen,
        "here": f"/quick-math/{sheet.calculation.key}",
        "system": office.firm().system,
    }


def _jobs(request: Request, office: Office) -> Any:
    return quick_math_in_job.job_choices(office, ours=is_ours(request))
