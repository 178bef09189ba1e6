"""A job as a file: take it along, open one, and let one that came in stand on the firm's own prices."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import job_files
from app.services.any_file import open_any_file
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of
from app.web.forms.saving import save_form, save_form_async
from app.web.rendering import go, handed_out
from app.web.routes.along import sent_file
from app.web.routes.home import home_again
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs")


@router.get("/{job_id}/job-file.zip")
async def take_along(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The job with its photos, as one file."""
    content = job_files.export_job(office, job_id)
    return handed_out(request, content, f"job-{job_id}.zip", "application/zip")


@router.post("/open-file")
async def open_file(request: Request, office: OfficeHere) -> Response:
    """A job file as a new job; one taken along as the same job; one that comes back is looked into."""
    form = await request.form()
    content = await sent_file(form)
    saved = await save_form_async(Parsed(), lambda: open_any_file(office, content, order_of(form, "Job file")))
    if saved.result is not None:
        return go(request, f"/jobs/{saved.result}")
    return home_again(request, office, saved)


@router.post("/{job_id}/build/use-my-prices")
async def use_my_prices(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """From now on the firm's own prices."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: job_files.use_my_prices(office, job_id, order_of(form, "Use my prices")))
    return go(request, f"/jobs/{job_id}/build") if saved.ok else show(request, office, job_id, "build", saved=saved)
