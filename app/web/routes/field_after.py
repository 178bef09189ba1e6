"""The crew's side of hand-over: tests it makes, and the punch list. No money in any byte."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import as_built, punch_list, signed_tests
from app.services.field import field_view
from app.services.office import Office
from app.services.sheets import Sheet
from app.web import after_saving
from app.web.access import OfficeHere
from app.web.forms.after import NOTE
from app.web.forms.saving import Saved
from app.web.forms.with_file import save_with_file
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/field/{job_id}/after")


@router.get("")
async def show_after(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Tests and punch list of a job."""
    return _show(request, office, field_view(office, job_id))


@router.post("/result")
async def sign_test(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A test is signed by name."""
    view = field_view(office, job_id)
    saved, key = await after_saving.signed_test(request, office, view)
    return _answer(request, office, view, saved, f"test:{key}")


@router.post("/punch")
async def add_item(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """An item for the punch list."""
    view = field_view(office, job_id)
    saved = await after_saving.item_added(request, office, view)
    return _answer(request, office, view, saved, "new")


@router.post("/note")
async def add_note(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """How something was built that nobody sees any more, written down where it lies."""
    view = field_view(office, job_id)
    saved = await save_with_file(
        request,
        office,
        NOTE,
        "As built",
        lambda parsed, content, order: as_built.add_note(office, view, parsed.values, content, order),
    )
    return _answer(request, office, view, saved, "note")


@router.post("/punch/{item_id}")
async def item_done(request: Request, office: OfficeHere, job_id: UUID, item_id: UUID) -> Response:
    """An item is done."""
    view = field_view(office, job_id)
    saved = await after_saving.item_done(request, office, view, item_id)
    return _answer(request, office, view, saved, f"item:{item_id}")


def _answer(request: Request, office: Office, view: Sheet, saved: Saved[Any], at: str) -> Response:
    if saved.ok:
        where = "tests" if at.startswith("test:") else "notes" if at == "note" else "punch"
        return go(request, f"/field/{view.job.head.id}/after#{where}")
    return _show(request, office, view, saved, at)


def _show(request: Request, office: Office, view: Sheet, saved: Saved[Any] = NOTHING_SENT, at: str = "") -> Response:
    context = {
        "tests": signed_tests.yard_tests(office, view),
        "punch": punch_list.punch_list(view),
        "things": as_built.things_to_note(view),
        "materials": as_built.materials_to_note(view),
        "places": as_built.noted_places(view),
        "today": view.today,
        "job": view.job,
        "saved": saved,
        "nothing": NOTHING_SENT,
        "at": at,
        "home": f"/field/{view.job.head.id}",
    }
    return page(request, "field/after.html", context, status=saved.status)
