"""Copy a zone into another job, or a job into a new one; the answer lists what is different."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import copying, editions, jobs
from app.services.jobs import NewJob
from app.services.zones import find
from app.web.access import OfficeHere
from app.web.forms.fields import focus_of, order_of, read, text, thing
from app.web.forms.saving import Saved, save_form
from app.web.rendering import go, page
from app.web.sheet_pages import NOTHING_SENT, show

router = APIRouter()

TO_JOB = (thing("to_job", "Into which job", required=True),)
FOR_WHOM = (
    text("name", "Name", required=True),
    text("phone", "Phone"),
    text("street", "Street"),
    text("town", "Town"),
    text("title", "What it is about"),
)
RECIPE = (text("assembly", "Recipe", required=True),)


@router.get("/copy")
async def choose_job_to_copy(request: Request, job: UUID) -> Response:
    """From Home: the job that was chosen there."""
    return go(request, f"/jobs/{job}/copy")


@router.get("/jobs/{job_id}/copy")
async def ask_copy_job(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """For whom a job is copied."""
    return _job_form(request, office, job_id, NOTHING_SENT)


@router.post("/jobs/{job_id}/copy")
async def copy_job(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A job copied into a new one."""
    form = await request.form()
    parsed = read(form, FOR_WHOM, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: copying.copy_job(office, job_id, NewJob(**parsed.values), order_of(form, "Copy of a job"))
    )
    if not saved.ok:
        return _job_form(request, office, job_id, saved)
    return page(request, "copying/done.html", {"copied": saved.result, "back": f"/jobs/{job_id}/plan"})


def _job_form(request: Request, office: OfficeHere, job_id: UUID, saved: Saved[Any]) -> Response:
    context = {"job": jobs.open_job(office, job_id).job, "saved": saved}
    return page(request, "copying/job.html", context, status=saved.status)


@router.get("/jobs/{job_id}/zone/{zone_id}/copy")
async def ask_copy_zone(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID) -> Response:
    """Into which job a zone is copied."""
    return _zone_form(request, office, job_id, zone_id, NOTHING_SENT)


@router.post("/jobs/{job_id}/zone/{zone_id}/copy")
async def copy_zone(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID) -> Response:
    """A zone copied into another job."""
    form = await request.form()
    parsed = read(form, TO_JOB, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: copying.copy_zone(office, job_id, zone_id, parsed.values["to_job"], order_of(form, "Copy of a zone")),
    )
    if not saved.ok:
        return _zone_form(request, office, job_id, zone_id, saved)
    back = f"/jobs/{job_id}/plan?focus=zone:{zone_id}"
    return page(request, "copying/done.html", {"copied": saved.result, "back": back})


def _zone_form(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID, saved: Saved[Any]) -> Response:
    job = jobs.open_job(office, job_id).job
    context = {
        "job": job,
        "zone": find(job.zones, zone_id, "zone"),
        "jobs": copying.destinations(office, job_id),
        "saved": saved,
    }
    return page(request, "copying/zone.html", context, status=saved.status)


@router.post("/jobs/{job_id}/{sheet}/newer-edition")
async def take_newer(request: Request, office: OfficeHere, job_id: UUID, sheet: str) -> Response:
    """The library's edition of a recipe taken for all its works in this job."""
    form = await request.form()
    parsed = read(form, RECIPE, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: editions.take_newer(office, job_id, parsed.values["assembly"], order_of(form, "Newer edition"))
    )
    return show(request, office, job_id, sheet, focus=focus_of(form), saved=saved)
