"""The crew's day beside its hours: weather, delays, visitors, inspections, receipts. What the bid is stands nowhere."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import NotFound
from app.domain.job import RESULTS
from app.services import happenings
from app.services.field import field_view
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Field, Parsed, order_of, read
from app.web.forms.log import DELAY, RECEIPT, VISIT, WEATHER
from app.web.forms.saving import Saved, save_form
from app.web.forms.with_file import save_with_file
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/field/{job_id}/day")
FORMS: Mapping[str, tuple[str, tuple[Field, ...]]] = {
    "weather": ("logged_weather", WEATHER),
    "delay": ("logged_delay", DELAY),
    "visit": ("logged_visit", VISIT),
}


@router.get("")
async def show_day(request: Request, office: OfficeHere, job_id: UUID, inspects: str = "") -> Response:
    """What can be written down, and what is; `inspects` names the inspection whose result is to be written."""
    return _show(request, office, field_view(office, job_id), inspects=inspects[:90])


@router.post("/receipt")
async def add_receipt(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What was paid, where, for which zone, with its picture."""
    view = field_view(office, job_id)
    saved = await save_with_file(
        request,
        office,
        RECEIPT,
        "Receipt",
        lambda parsed, content, order: happenings.write_receipt(office, view, _receipt(parsed), content, order),
    )
    return go(request, f"/field/{job_id}/day#written") if saved.ok else _show(request, office, view, saved, "receipt")


@router.post("/{what}")
async def write_down(request: Request, office: OfficeHere, job_id: UUID, what: str) -> Response:
    """Weather, a delay, or who came."""
    form, view = await request.form(), field_view(office, job_id)
    if what not in FORMS:
        raise NotFound("There is nothing of that kind to write down.")
    kind, fields = FORMS[what]
    parsed = read(form, fields, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: happenings.write_down(office, view, kind, _given(parsed), order_of(form, what.capitalize()))
    )
    return go(request, f"/field/{job_id}/day#written") if saved.ok else _show(request, office, view, saved, what)


@router.post("/{kind}/{thing_id}/remove")
async def take_back(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """What was written by mistake."""
    form, view = await request.form(), field_view(office, job_id)
    saved = save_form(Parsed(), lambda: happenings.take_back(office, view, kind, thing_id, order_of(form, "Taken out")))
    return go(request, f"/field/{job_id}/day#written") if saved.ok else _show(request, office, view, saved)


def _given(parsed: Parsed) -> Mapping[str, Any]:
    return {name: value for name, value in parsed.values.items() if value is not None}


def _receipt(parsed: Parsed) -> Mapping[str, Any]:
    found = _given(parsed)
    zone = {"zone": found["zone"]} if found.get("zone") else {}
    return {
        "cents": found["amount"],
        **{name: found[name] for name in ("day", "merchant", "material", "batch", "words")},
        **zone,
    }


def _show(
    request: Request,
    office: Office,
    view: Sheet,
    saved: Saved[Any] = NOTHING_SENT,
    wrong: str = "",
    *,
    inspects: str = "",
) -> Response:
    context = {
        "it": happenings.happenings(office, view),
        "job": view.job,
        "letters": {str(zone.id): zone.letter for zone in view.job.zones},
        "saved": saved,
        "wrong": wrong,
        "inspects": inspects,
        "results": RESULTS,
        "nothing": NOTHING_SENT,
        "home": f"/field/{view.job.head.id}",
    }
    return page(request, "field/day.html", context, status=saved.status)
