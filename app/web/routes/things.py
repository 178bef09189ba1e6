"""Make, change and remove any thing of a job; the answer is the sheet the form stood on."""

from uuid import UUID, uuid4

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.datastructures import FormData

from app.domain.codec import to_plain
from app.domain.errors import NotFound
from app.domain.job import JOB_THINGS
from app.services import jobs
from app.services.jobs import changed, save
from app.services.marks import places_by_name
from app.services.things import add_thing, called_by, thing_of
from app.web.access import OfficeHere
from app.web.change_words import name_of, what_of
from app.web.forms.fields import LONGEST_FOCUS, Parsed, focus_of, order_of, read, version_of
from app.web.forms.outlines import with_marks
from app.web.forms.saving import save_form
from app.web.forms.things import FORMS
from app.web.sheet_pages import known_sheet, page_of, show_saved

router = APIRouter(prefix="/jobs/{job_id}", dependencies=[Depends(known_sheet)])
ONE_OF_A_KIND = {"job", "client", "site"}  # made with the job, never alone
NAMES = {"job": "Job", "unit_price": "Agreed unit price"}


def _form_of(kind: str) -> tuple:  # type: ignore[type-arg]
    if kind not in FORMS or kind not in JOB_THINGS:
        raise NotFound("There is nothing of that kind to change.")
    return FORMS[kind]


def _name(kind: str) -> str:
    return NAMES.get(kind, kind.replace("_", " ").capitalize())


@router.post("/{sheet}/{kind}/new")
async def make_thing(request: Request, office: OfficeHere, job_id: UUID, sheet: str, kind: str) -> Response:
    """A new need, run, feature, phase, allowance or payment."""
    form = await request.form()
    if kind in ONE_OF_A_KIND:
        raise NotFound("There is one of these in a job already.")
    assembly = str(form.get("assembly", ""))[:80]
    if not str(form.get("title", "")).strip() and (named := called_by(office, job_id, assembly)):
        form = FormData([*((key, value) for key, value in form.multi_items() if key != "title"), ("title", named)])
    parsed = read(form, with_marks(_form_of(kind), places_by_name(office, job_id)), office.firm(), whole=True)
    new_id = uuid4()
    saved = save_form(
        parsed, lambda: add_thing(office, job_id, kind, new_id, parsed.values, order_of(form, f"New {kind}"), assembly)
    )
    stay = str(form.get("stay", ""))[:LONGEST_FOCUS]  # what stays open when more of the kind are added at once
    focus = stay or (f"{kind}:{new_id}" if saved.ok else f"{kind}:new")
    return await show_saved(request, office, job_id, sheet, focus=focus, saved=saved)


@router.post("/{sheet}/{kind}/{thing_id}")
async def change_thing(
    request: Request, office: OfficeHere, job_id: UUID, sheet: str, kind: str, thing_id: UUID
) -> Response:
    """Fields of a thing; only what the form sends is changed."""
    form = await request.form()
    parsed = read(form, with_marks(_form_of(kind), places_by_name(office, job_id)), office.firm())
    edit = changed(kind, thing_id, version_of(form), parsed.values)
    what = what_of(kind, thing_of(office, job_id, kind, thing_id), parsed.values, _name(kind))
    saved = save_form(parsed, lambda: save(office, job_id, (edit,), order_of(form, what)))
    return await show_saved(request, office, job_id, sheet, focus=focus_of(form) or f"{kind}:{thing_id}", saved=saved)


@router.post("/{sheet}/{kind}/{thing_id}/remove")
async def remove_thing(
    request: Request, office: OfficeHere, job_id: UUID, sheet: str, kind: str, thing_id: UUID
) -> Response:
    """A thing taken out with all that hangs on it; undo brings it back."""
    form = await request.form()
    _form_of(kind)
    if kind in ONE_OF_A_KIND:
        raise NotFound("This cannot be taken out of a job.")
    edits = jobs.removal(jobs.open_job(office, job_id), kind, thing_id)
    gone = thing_of(office, job_id, kind, thing_id)
    name = (name_of(kind, to_plain(gone)) if gone else "") or _name(kind)
    saved = save_form(Parsed(), lambda: save(office, job_id, edits, order_of(form, f"{name} taken out")))
    return await show_saved(request, office, job_id, sheet, focus=focus_of(form), saved=saved)


@router.post("/undo")
async def undo(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Take back this person's last change of the job; the form says on which sheet."""
    form = await request.form()
    sheet = str(form.get("sheet", ""))
    page_of(sheet)
    order = order_of(form, "")
    saved = save_form(Parsed(), lambda: jobs.undo(office, job_id, order.change_id, order.follows))
    return await show_saved(request, office, job_id, sheet, saved=saved)
