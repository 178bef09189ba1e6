"""The field's face: jobs that are being built, their sheets, plan, order lists, pictures. No money in any byte."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.documents.plan_drawing import plan_svg
from app.documents.tongues import tongue
from app.services import build, photos
from app.services.field import LONGEST_NOTE, field_job, field_jobs, field_view, note_from_yard, week
from app.services.office import Office
from app.services.plan_print import plan_pdf
from app.web.access import OfficeHere
from app.web.crew_language import language_of
from app.web.crew_screens import crew_screen, layout_screen, printed
from app.web.forms.fields import order_of, read, text
from app.web.forms.saving import Saved, save_form
from app.web.forms.with_file import save_with_file
from app.web.pictures import picture_answer
from app.web.rendering import go, page, svg
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/field")
NOTE = (text("words", "Note", required=True, most=LONGEST_NOTE),)
PHOTO = (
    text("caption", "What it shows, or a note", most=500),
    text("place", "Where", most=200),
    text("hides", "What will be covered", most=300),
)


@router.get("")
async def show_jobs(request: Request, office: OfficeHere) -> Response:
    """The jobs that are signed or being built, and the week to take along."""
    return page(request, "field/page.html", {"jobs": field_jobs(office), "week": week(office)})


@router.get("/{job_id}")
async def show_job(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """One job: its sheets, what is bought, pictures."""
    return _show(request, office, job_id)


@router.get("/{job_id}/crew/{key}.pdf")
async def crew_on_paper(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """Crew sheets as a PDF."""
    made = build.crew_pdf(office, field_view(office, job_id), key, tongue(language_of(request)))
    return await printed(request, made, f"crew-sheet-{job_id}.pdf")


@router.get("/{job_id}/crew/{key}")
async def crew_on_screen(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """Crew sheets on a phone."""
    return crew_screen(request, office, field_view(office, job_id), key, f"/field/{job_id}")


@router.get("/{job_id}/layout.pdf")
async def layout_on_paper(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The layout sheet as a PDF."""
    made = build.layout_pdf(office, field_view(office, job_id))
    return await printed(request, made, f"layout-sheet-{job_id}.pdf")


@router.get("/{job_id}/layout")
async def layout_on_screen(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The layout sheet on a phone."""
    return layout_screen(request, office, field_view(office, job_id), f"/field/{job_id}")


@router.get("/{job_id}/plan.pdf")
async def plan_on_paper(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The plan at a scale."""
    return await printed(request, plan_pdf(office, field_view(office, job_id)), f"plan-{job_id}.pdf")


@router.get("/{job_id}/plan")
async def plan_on_screen(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The plan as it was signed, to be looked at on a phone."""
    made = build.build_sheet(office, field_view(office, job_id)).stands
    drawing = svg(plan_svg(made.job, made.basis, width_px=900, face="print"))
    return page(request, "field/plan.html", {"job": made.job, "drawing": drawing, "home": f"/field/{job_id}"})


@router.get("/{job_id}/photos/{photo_id}")
async def photo_file(office: OfficeHere, job_id: UUID, photo_id: UUID) -> Response:
    """A picture of this job."""
    field_view(office, job_id)
    return picture_answer(photos.read_photo(office, job_id, photo_id))


@router.get("/{job_id}/photos/{photo_id}/small")
async def small_photo(office: OfficeHere, job_id: UUID, photo_id: UUID) -> Response:
    """The same picture, small."""
    field_view(office, job_id)
    return picture_answer(await photos.read_small(office, job_id, photo_id))


@router.post("/{job_id}/note")
async def add_note(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A line more in the job's own note."""
    form = await request.form()
    parsed = read(form, NOTE, office.firm(), whole=True)
    saved = save_form(parsed, lambda: note_from_yard(office, job_id, parsed.values["words"], order_of(form, "Note")))
    return go(request, f"/field/{job_id}#note") if saved.ok else _show(request, office, job_id, saved)


@router.post("/{job_id}/photo")
async def add_photo(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A picture of the work, with a note."""
    field_view(office, job_id)
    taken = {"when": "during", "taken": office.today()}
    saved = await save_with_file(
        request,
        office,
        PHOTO,
        "Photo",
        lambda parsed, content, order: photos.add_photo(office, job_id, content, {**parsed.values, **taken}, order),
    )
    return go(request, f"/field/{job_id}#photos") if saved.ok else _show(request, office, job_id, saved)


def _show(request: Request, office: Office, job_id: UUID, saved: Saved[Any] = NOTHING_SENT) -> Response:
    made = field_job(office, job_id)
    context = {
        "made": made,
        "job": made.stands.job,
        "saved": saved,
        "crew_key": build.crew_key,
        "home": f"/field/{job_id}",
        "no_pdf": "" if pdf_available() else NO_PANGO,
    }
    return page(request, "field/job.html", context, status=saved.status)
