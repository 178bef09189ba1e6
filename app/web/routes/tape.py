"""Tape and level: marks of the ground, their tapes, rod readings and setups; reached from Site and Plan."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.plan_marks import marks_svg
from app.domain.plan.tolerances import KINDS, tape_deviation
from app.services import marks
from app.services.measured_ground import measured_ground
from app.services.office import Office
from app.services.sheets import Sheet, kept
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, focus_of, order_as_read, order_of, read, version_of
from app.web.forms.marks import BASELINE, MARK, NEW_MARK, NEW_TAPE, ROD, SETUP, TAPE, TAPES
from app.web.forms.outlines import length_text
from app.web.forms.saving import save_form
from app.web.rendering import svg
from app.web.sheet_pages import NOTHING_SENT, SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/tape")
MARK_AT = "/mark/{mark_id}"
SETUP_AT = "/level_setup/{setup_id}"


@router.get("")
async def show_tape(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """What was measured in the yard."""
    return show(request, office, job_id, "tape", focus=focus)


@router.post("/mark/new")
async def add_mark(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A mark with its first tapes and a rod reading; the next one can be typed at once."""
    form = await request.form()
    parsed = read(form, NEW_MARK, office.firm(), whole=True)
    saved = save_form(parsed, lambda: marks.add_mark(office, job_id, parsed.values, order_of(form, "Mark")))
    return show(request, office, job_id, "tape", focus="mark:new", saved=saved)


@router.post("/baseline")
async def choose_baseline(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The two marks that the crew measures offsets from."""
    form = await request.form()
    parsed = read(form, BASELINE, office.firm(), whole=True)
    told = parsed.values
    saved = save_form(
        parsed,
        lambda: marks.choose_baseline(
            office, job_id, told.get("start_id"), told.get("end_id"), order_as_read(form, "Baseline")
        ),
    )
    return show(request, office, job_id, "tape", focus="baseline", saved=saved)


@router.post("/tapes")
async def choose_tapes(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What was taped with, and how far off it is."""
    form = await request.form()
    parsed = read(form, TAPES, office.firm(), whole=True)
    told = parsed.values
    order = order_as_read(form, "Tapes")
    saved = save_form(
        parsed,
        lambda: marks.choose_tapes(office, job_id, told["tape_kind"], told["tape_within"], order),
    )
    return show(request, office, job_id, "tape", focus="tapes", saved=saved)


@router.post("/house")
async def mark_house(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The corners of the house as marks."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: marks.mark_house(office, job_id, order_of(form, "House corners")))
    return show(request, office, job_id, "tape", focus="house", saved=saved)


@router.post(MARK_AT)
async def change_mark(request: Request, office: OfficeHere, job_id: UUID, mark_id: UUID) -> Response:
    """A mark's name, typed place, side or level."""
    form = await request.form()
    parsed = read(form, MARK, office.firm())
    version = version_of(form)
    saved = save_form(
        parsed, lambda: marks.change_mark(office, job_id, mark_id, parsed.values, version, order_of(form, "Mark"))
    )
    return show(request, office, job_id, "tape", focus=f"mark:{mark_id}", saved=saved)


@router.post(MARK_AT + "/tape/new")
async def add_tape(request: Request, office: OfficeHere, job_id: UUID, mark_id: UUID) -> Response:
    """One more tape to a mark."""
    form = await request.form()
    parsed = read(form, NEW_TAPE, office.firm(), whole=True)
    version = version_of(form)
    saved = save_form(
        parsed, lambda: marks.add_tape(office, job_id, mark_id, parsed.values, version, order_of(form, "Tape"))
    )
    return show(request, office, job_id, "tape", focus=f"mark:{mark_id}", saved=saved)


@router.post(MARK_AT + "/tape/{place}")
async def change_tape(request: Request, office: OfficeHere, job_id: UUID, mark_id: UUID, place: int) -> Response:
    """A tape corrected, left out, used again or taken off."""
    form = await request.form()
    parsed = read(form, TAPE, office.firm())
    version = version_of(form)
    saved = save_form(
        parsed,
        lambda: marks.change_tape(office, job_id, mark_id, place, parsed.values, version, order_of(form, "Tape")),
    )
    return show(request, office, job_id, "tape", focus=focus_of(form) or f"mark:{mark_id}", saved=saved)


@router.post(MARK_AT + "/remove")
async def remove_mark(request: Request, office: OfficeHere, job_id: UUID, mark_id: UUID) -> Response:
    """A mark taken out with the tapes from it."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: marks.remove_mark(office, job_id, mark_id, order_of(form, "Mark")))
    return show(request, office, job_id, "tape", saved=saved)


@router.post("/level_setup/new")
async def add_setup(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Where the instrument stood."""
    form = await request.form()
    parsed = read(form, SETUP, office.firm(), whole=True)
    saved = save_form(parsed, lambda: marks.add_setup(office, job_id, parsed.values, order_of(form, "Setup")))
    return show(request, office, job_id, "tape", focus=f"setup:{saved.result or 'new'}", saved=saved)


@router.post(SETUP_AT)
async def change_setup(request: Request, office: OfficeHere, job_id: UUID, setup_id: UUID) -> Response:
    """A setup's name, benchmark or backsight."""
    form = await request.form()
    parsed = read(form, SETUP, office.firm())
    version = version_of(form)
    saved = save_form(
        parsed, lambda: marks.change_setup(office, job_id, setup_id, parsed.values, version, order_of(form, "Setup"))
    )
    return show(request, office, job_id, "tape", focus=f"setup:{setup_id}", saved=saved)


@router.post(SETUP_AT + "/rod")
async def read_rod(request: Request, office: OfficeHere, job_id: UUID, setup_id: UUID) -> Response:
    """What the rod read on a mark from a setup; an empty reading takes it away."""
    form = await request.form()
    parsed = read(form, ROD, office.firm(), whole=True)
    saved = save_form(parsed, lambda: marks.read_rod(office, job_id, setup_id, parsed.values, order_of(form, "Rod")))
    return show(request, office, job_id, "tape", focus=f"rod:{setup_id}", saved=saved)


@router.post(SETUP_AT + "/remove")
async def remove_setup(request: Request, office: OfficeHere, job_id: UUID, setup_id: UUID) -> Response:
    """A setup taken out with every reading from it."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: marks.remove_setup(office, job_id, setup_id, order_of(form, "Setup")))
    return show(request, office, job_id, "tape", saved=saved)


def _give(_request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    job, firm = view.job, view.basis.firm
    measured = kept(office, ("measured", job.head.id), view.opened, lambda: measured_ground(view))
    starts = list(measured.starts)
    return {
        "measured": measured,
        "open_mark": next((line for line in measured.marks if focus == f"mark:{line.mark.id}"), None),
        "starts": starts,
        "suggested": [*measured.next_starts, "", ""],
        "next_name": marks.next_name(job),
        "setup_options": [(str(line.setup.id), line.name) for line in measured.setups],
        "drawing": svg(marks_svg(job, view.basis)),
        "tape_kinds": [(key, kind.title) for key, kind in KINDS.items()],
        "tape_table": [
            (feet, tape_deviation(feet, job.site.tape_kind, job.site.tape_within)) for feet in (30.0, 60.0, 100.0)
        ],
        "has_house": job.site.house is not None,
        "none_sent": NOTHING_SENT,
        "length_text": lambda feet: "" if feet is None else length_text(feet, firm.system),
    }


register(SheetPage(key="tape", title="Tape and level", template="tape/page.html", give=_give, part_of="site"))
