"""What the client keeps of a finished yard: care, as built, completion, release of lien; and what is shown of it."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.services import as_built, care, closing_papers, show_sheet
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.crew_screens import printed
from app.web.forms.after import NOTE, PERMISSION, WITHDRAWN
from app.web.forms.fields import Parsed, order_of, read
from app.web.forms.saving import save_form
from app.web.forms.with_file import save_with_file
from app.web.rendering import svg
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/after")
CARE, AS_BUILT, SHOWN = "after/care", "after/as-built", "after/shown"


@router.get("/care")
async def show_care(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The care of the yard, month by month."""
    return show(request, office, job_id, CARE)


@router.get("/care.pdf")
async def care_on_paper(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The care sheet for the client."""
    return await printed(request, care.care_pdf(office, sheet(office, job_id)), f"care-{job_id}.pdf")


@router.get("/as-built")
async def show_as_built(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The yard as it was built."""
    return show(request, office, job_id, AS_BUILT, focus=focus)


@router.get("/as-built.pdf")
async def as_built_on_paper(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The as-built sheet for the client."""
    return await printed(request, as_built.as_built_pdf(office, sheet(office, job_id)), f"as-built-{job_id}.pdf")


@router.post("/as-built/photo")
async def add_note(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """How something was built that nobody sees any more, with a picture where there is one."""
    saved = await save_with_file(
        request,
        office,
        NOTE,
        "As built",
        lambda parsed, content, order: as_built.add_note(office, sheet(office, job_id), parsed.values, content, order),
    )
    return show(request, office, job_id, AS_BUILT, saved=saved)


@router.post("/as-built/{note_id}/remove")
async def take_out_note(request: Request, office: OfficeHere, job_id: UUID, note_id: UUID) -> Response:
    """A note that was written by mistake goes; undo brings it back."""
    form, view = await request.form(), sheet(office, job_id)
    saved = save_form(Parsed(), lambda: as_built.take_out(office, view, note_id, order_of(form, "Taken out")))
    return show(request, office, job_id, AS_BUILT, saved=saved)


@router.get("/completion.pdf")
async def completion(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The paper of the hand-over, to be signed by hand."""
    made = closing_papers.completion_pdf(office, sheet(office, job_id))
    return await printed(request, made, f"completion-{job_id}.pdf")


@router.get("/release.pdf")
async def release(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The firm's own final release of lien."""
    made = closing_papers.release_pdf(office, sheet(office, job_id))
    return await printed(request, made, f"final-release-{job_id}.pdf")


@router.get("/shown")
async def show_shown(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """What of the yard may be shown."""
    return show(request, office, job_id, SHOWN, focus=focus)


@router.get("/shown.pdf")
async def shown_on_paper(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The show sheet."""
    return await printed(request, show_sheet.show_pdf(office, sheet(office, job_id)), "show-sheet.pdf")


@router.post("/shown")
async def permit(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The client's permission is recorded."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, PERMISSION, office.firm(), whole=True)
    saved = save_form(parsed, lambda: show_sheet.permit(office, view, parsed.values, order_of(form, "Permission")))
    return show(request, office, job_id, SHOWN, focus="" if saved.ok else "new", saved=saved)


@router.post("/shown/{permission_id}/back")
async def withdraw(request: Request, office: OfficeHere, job_id: UUID, permission_id: UUID) -> Response:
    """The permission is withdrawn."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, WITHDRAWN, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: show_sheet.withdraw(office, view, permission_id, parsed.values["why"], order_of(form, "Withdrawn")),
    )
    return show(request, office, job_id, SHOWN, focus="" if saved.ok else "withdraw", saved=saved)


def _give_care(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {"care": care.care_of(office, view), "month_names": care.MONTHS, "no_pdf": _no_pdf()}


def _give_built(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {
        "built": as_built.as_built_of(office, view),
        "drawing": svg(as_built.drawing(view)),
        "things": as_built.things_to_note(view),
        "materials": as_built.materials_to_note(view),
        "no_pdf": _no_pdf(),
    }


def _give_shown(_request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    return {"shown": show_sheet.show_sheet(office, view), "no_pdf": _no_pdf()}


def _no_pdf() -> str:
    return "" if pdf_available() else NO_PANGO


register(SheetPage(key=CARE, title="Care", template="after/care.html", give=_give_care, part_of="after"))
register(SheetPage(key=AS_BUILT, title="As built", template="after/as_built.html", give=_give_built, part_of="after"))
register(SheetPage(key=SHOWN, title="Show sheet", template="after/shown.html", give=_give_shown, part_of="after"))
