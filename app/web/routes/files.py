"""A job as a file: take it along, open one, and let one that came in stand on the firm's own prices."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.services import job_files
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of
from app.web.forms.saving import save_form
from app.web.rendering import go, handed_out
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
    """A job file as a new job."""
    form = await request.form()
    sent = form.get("file")
    content = await sent.read() if isinstance(sent, UploadFile) else b""
    await form.close()
    saved = save_form(Parsed(), lambda: job_files.bring_in(office, content, order_of(form, "Job file")))
    if saved.result is not None:
        return go(request, f"/jobs/{saved.result.job_id}/client")
    return home_again(request, office, saved)


@router.post("/{job_id}/build/use-my-prices")
async def use_my_prices(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """From now on the firm's own prices."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: job_files.use_my_prices(office, job_id, order_of(form, "Use my prices")))
    return go(request, f"/jobs/{job_id}/build") if saved.ok else show(request, office, job_id, "build", saved=saved)
