"""Phases: what is built when and for how much, how each price holds, payments by visible events."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.documents.pdf import pdf_payload
from app.domain.job import Firmness
from app.interchange.building_stages import building_stages
from app.services import approvals, cut_sheets, moving, phases
from app.services.application_finishes import finishes_of
from app.services.application_paper import application_pdf
from app.services.office import Office
from app.services.payments import payments, use_usual
from app.services.sheets import Sheet, sheet
from app.services.sub_papers import MOST_BYTES, shown_as
from app.services.things import thing_of
from app.web.access import OfficeHere
from app.web.change_words import what_of
from app.web.forms.fields import Field, Group, Parsed, order_of, read, text, thing, version_of
from app.web.forms.saving import save_form, save_form_async
from app.web.forms.things import FORMS
from app.web.rendering import handed_out
from app.web.sheet_pages import SheetPage, register, show
from app.worker.running import run_in_worker

router = APIRouter(prefix="/jobs/{job_id}/phases")

# a new phase may leave its number and how its price holds to us
NEW_PHASE: tuple[Field | Group, ...] = tuple(
    replace(one, required=one.name == "title") if isinstance(one, Field) else one for one in FORMS["phase"]
)
COVERED = frozenset({"dig", "lines", "base", "form", "pour", "build", "fit"})  # of which something is covered later
FIRMNESS = (
    (Firmness.FIRM.value, "firm"),
    (Firmness.RISE.value, "firm, plus a stated rise"),
    (Firmness.RANGE.value, "a range, outside the contract sum"),
)


@router.get("")
async def show_phases(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The phases with what is in them and what they cost."""
    return show(request, office, job_id, "phases", focus=focus)


@router.get("/approval/{approval_id}.pdf")
async def application(request: Request, office: OfficeHere, job_id: UUID, approval_id: UUID) -> Response:
    """What goes with an application: figures of the yard, the plan, finishes, a page for neighbors."""
    made = application_pdf(office, sheet(office, job_id), approval_id)
    content = await run_in_worker("pdf", pdf_payload(made))
    return handed_out(request, content, f"application-{approval_id}.pdf", "application/pdf")


CUT_SHEET: tuple[Field, ...] = (text("sheet_title", "What it is of", most=120), text("sheet_material", "Finish"))


@router.post("/approval/{approval_id}/cut-sheet")
async def add_cut_sheet(request: Request, office: OfficeHere, job_id: UUID, approval_id: UUID) -> Response:
    """A maker's sheet that goes with an approval."""
    view = sheet(office, job_id)
    async with request.form() as form:
        sent = form.get("file")
        content = await sent.read(MOST_BYTES + 1) if isinstance(sent, UploadFile) else b""
    parsed = read(form, CUT_SHEET, office.firm(), whole=True)
    saved = await save_form_async(
        parsed, lambda: cut_sheets.add(office, view, approval_id, parsed.values, content, order_of(form, "Cut sheet"))
    )
    return show(request, office, job_id, "phases", focus=f"approval:{approval_id}", saved=saved)


@router.post("/cut-sheet/{sheet_id}/remove")
async def drop_cut_sheet(request: Request, office: OfficeHere, job_id: UUID, sheet_id: UUID) -> Response:
    """One that does not go with it any more."""
    form, view = await request.form(), sheet(office, job_id)
    of = next((one.approval_id for one in view.job.cut_sheets if one.id == sheet_id), "")
    saved = save_form(Parsed(), lambda: cut_sheets.take_out(office, view, sheet_id, order_of(form, "Taken out")))
    return show(request, office, job_id, "phases", focus=f"approval:{of}", saved=saved)


@router.get("/cut-sheet/{sheet_id}/paper")
async def cut_sheet(request: Request, office: OfficeHere, job_id: UUID, sheet_id: UUID) -> Response:
    """A cut sheet, to look at."""
    content = cut_sheets.content_of(office, sheet(office, job_id), sheet_id)
    return handed_out(request, content, *shown_as(content))


@router.post("/phase/new")
async def add_phase(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A new phase."""
    form = await request.form()
    parsed = read(form, NEW_PHASE, office.firm(), whole=True)
    saved = save_form(parsed, lambda: phases.add_phase(office, job_id, parsed.values, order_of(form, "New phase")))
    return show(request, office, job_id, "phases", focus="" if saved.ok else "phase:new", saved=saved)


@router.post("/phase/{phase_id}")
async def change_phase(request: Request, office: OfficeHere, job_id: UUID, phase_id: UUID) -> Response:
    """The fields of a phase."""
    form = await request.form()
    parsed = read(form, FORMS["phase"], office.firm())
    what = what_of("phase", thing_of(office, job_id, "phase", phase_id), parsed.values, "Phase")
    saved = save_form(
        parsed,
        lambda: phases.change_phase(office, job_id, phase_id, parsed.values, version_of(form), order_of(form, what)),
    )
    return show(request, office, job_id, "phases", focus=f"phase:{phase_id}", saved=saved)


MOVE: tuple[Field, ...] = (thing("phase_id", "Phase", required=True),)


@router.post("/zone/{zone_id}/move")
async def move_zone(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID) -> Response:
    """A zone with all that is in it to another phase."""
    form = await request.form()
    parsed = read(form, MOVE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: moving.move_zone(
            office, job_id, zone_id, parsed.values["phase_id"], version_of(form), order_of(form, "")
        ),
    )
    return show(request, office, job_id, "phases", saved=saved)


@router.post("/phase/{phase_id}/move")
async def move_everything(request: Request, office: OfficeHere, job_id: UUID, phase_id: UUID) -> Response:
    """Everything of a phase to another."""
    form = await request.form()
    parsed = read(form, MOVE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: moving.move_everything(office, job_id, phase_id, parsed.values["phase_id"], order_of(form, "")),
    )
    return show(request, office, job_id, "phases", saved=saved)


@router.post("/payments/usual")
async def usual_payments(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The firm's usual payments as this job's own."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: use_usual(office, job_id, order_of(form, "The usual payments")))
    return show(request, office, job_id, "phases", saved=saved)


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    lines = phases.phase_lines(office, view)
    approval = next((one for one in view.job.approvals if focus == f"approval:{one.id}"), None)
    return {
        "lines": lines,
        "line": next((one for one in lines if focus == f"phase:{one.phase.id}"), None),
        "phase_options": [(str(one.phase.id), f"{one.phase.number}. {one.phase.title}") for one in lines],
        "firmnesses": FIRMNESS,
        "firm_words": dict(FIRMNESS),
        "payments": payments(view),
        "payment_points": [one for one in view.findings if one.where == "payment"],
        "approvals": approvals.approval_lines(view),
        "stage_choices": [(one.key, one.title) for one in building_stages().by_key.values() if one.key in COVERED],
        "approval": approval,
        "enclosed": cut_sheets.sheets_of(view, approval.id) if approval else (),
        "finishes": [(one.material, one.title) for one in finishes_of(view)] if approval else [],
        "payment": next((one for one in view.job.payments if focus == f"payment:{one.id}"), None),
    }


register(SheetPage(key="phases", title="Phases", template="phases/page.html", give=_give))
