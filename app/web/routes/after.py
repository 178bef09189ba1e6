"""After: from built to closed; hand-over, its tests, the punch list, the day the job is closed."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.services import completing, handing_over, punch_list, signed_tests
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web import after_saving
from app.web.access import OfficeHere
from app.web.forms.after import ACCEPTED, CLOSE, COMPLETION, HAND_OVER, LEFT_OUT
from app.web.forms.fields import Parsed, order_of, read
from app.web.forms.saving import save_form
from app.web.forms.with_file import save_with_file
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/after")
TESTS, PUNCH_LIST = "after/tests", "after/punch"


@router.get("")
async def show_after(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """How far the job is from built to closed."""
    return show(request, office, job_id, "after", focus=focus)


@router.post("/hand-over")
async def hand_over(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The yard goes over to the client."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, HAND_OVER, office.firm(), whole=True)
    saved = save_form(parsed, lambda: handing_over.hand_over(office, view, parsed.values, order_of(form, "Hand-over")))
    return show(request, office, job_id, "after", saved=saved)


@router.post("/hand-over/photo")
async def keep_completion(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Who signed the paper of the hand-over, with a picture of it."""
    saved = await save_with_file(
        request,
        office,
        COMPLETION,
        "Completion",
        lambda parsed, content, order: handing_over.signed_by(
            office, sheet(office, job_id), parsed.values["client"], content, order
        ),
    )
    return show(request, office, job_id, "after", saved=saved)


@router.post("/hand-over/back")
async def not_handed_over(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """It was not handed over after all."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: handing_over.take_back(office, view, order_of(form, "Not handed over")))
    return show(request, office, job_id, "after", saved=saved)


@router.post("/close")
async def close(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The job is closed, with what stands open."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, CLOSE, office.firm(), whole=True)
    saved = save_form(parsed, lambda: handing_over.close(office, view, parsed.values, order_of(form, "Closed")))
    return show(request, office, job_id, "after", focus="" if saved.ok else "close", saved=saved)


@router.post("/open-again")
async def open_again(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A closed job is opened again."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: handing_over.open_again(office, view, order_of(form, "Opened again")))
    return show(request, office, job_id, "after", saved=saved)


@router.get("/tests")
async def show_tests(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The tests before hand-over."""
    return show(request, office, job_id, TESTS, focus=focus)


@router.post("/tests/result")
async def sign_test(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A test is signed by name, with a picture where there is one."""
    saved, key = await after_saving.signed_test(request, office, sheet(office, job_id))
    return show(request, office, job_id, TESTS, focus="" if saved.ok else f"test:{key}", saved=saved)


@router.post("/tests/left-out")
async def leave_out(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The owner leaves a test out, with the reason."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, LEFT_OUT, office.firm(), whole=True)
    key = parsed.typed["test"] or ""
    saved = save_form(
        parsed, lambda: signed_tests.leave_out(office, view, key, parsed.values, order_of(form, "Left out"))
    )
    return show(request, office, job_id, TESTS, focus="" if saved.ok else f"leave:{key}", saved=saved)


@router.post("/tests/{test_id}/back")
async def not_signed(request: Request, office: OfficeHere, job_id: UUID, test_id: UUID) -> Response:
    """A test that was signed by mistake."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: signed_tests.take_back(office, view, test_id, order_of(form, "Not signed")))
    return show(request, office, job_id, TESTS, saved=saved)


@router.get("/punch")
async def show_punch(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The punch list."""
    return show(request, office, job_id, PUNCH_LIST, focus=focus)


@router.post("/punch/photo")
async def add_item(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """An item for the punch list, with a picture where there is one."""
    saved = await after_saving.item_added(request, office, sheet(office, job_id))
    return show(request, office, job_id, PUNCH_LIST, focus="" if saved.ok else "new", saved=saved)


@router.post("/punch/{item_id}/photo")
async def item_done(request: Request, office: OfficeHere, job_id: UUID, item_id: UUID) -> Response:
    """An item is done, with a picture where there is one."""
    saved = await after_saving.item_done(request, office, sheet(office, job_id), item_id)
    return show(request, office, job_id, PUNCH_LIST, focus="" if saved.ok else f"item:{item_id}", saved=saved)


@router.post("/punch/{item_id}/accepted")
async def client_says(request: Request, office: OfficeHere, job_id: UUID, item_id: UUID) -> Response:
    """The client accepts what was done."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, ACCEPTED, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: punch_list.client_says(office, view, item_id, parsed.values, order_of(form, "Accepted"))
    )
    return show(request, office, job_id, PUNCH_LIST, focus="" if saved.ok else f"item:{item_id}", saved=saved)


@router.post("/punch/{item_id}/not-done")
async def not_done(request: Request, office: OfficeHere, job_id: UUID, item_id: UUID) -> Response:
    """It is not done after all."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: punch_list.not_done(office, view, item_id, order_of(form, "Not done")))
    return show(request, office, job_id, PUNCH_LIST, saved=saved)


@router.post("/punch/{item_id}/remove")
async def take_out(request: Request, office: OfficeHere, job_id: UUID, item_id: UUID) -> Response:
    """An item that was written by mistake goes; undo brings it back."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: punch_list.take_out(office, view, item_id, order_of(form, "Taken out")))
    return show(request, office, job_id, PUNCH_LIST, saved=saved)


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {
        "after": handing_over.after(office, view),
        "completions": completing.completions(office, view.job.head.id),
        "no_pdf": "" if pdf_available() else NO_PANGO,
    }


def _give_tests(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {"tests": signed_tests.yard_tests(office, view)}


def _give_punch(_request: Request, _office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {"punch": punch_list.punch_list(view)}


register(SheetPage(key="after", title="After", template="after/page.html", give=_give))
register(
    SheetPage(key=TESTS, title="Tests before hand-over", template="after/tests.html", give=_give_tests, part_of="after")
)
register(SheetPage(key=PUNCH_LIST, title="Punch list", template="after/punch.html", give=_give_punch, part_of="after"))
