"""What is drawn by hand on the plan: shapes changed, things moved, the drawing itself at the size it is seen."""

from collections.abc import Mapping
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import NotFound
from app.services import drawing
from app.services.sheets import sheet
from app.web.access import OfficeHere
from app.web.forms.drawn import drawn_line, drawn_outline, feet
from app.web.forms.fields import Field, Group, focus_of, order_of, read, version_of
from app.web.forms.saving import save_form
from app.web.forms.things import MEASURED
from app.web.plan_figure import figure_of
from app.web.rendering import page
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/plan")

DRAWN: Mapping[str, tuple[Field | Group, ...]] = {
    "alternative": (drawn_outline("outline"), MEASURED),
    "existing": (drawn_outline("outline"),),
    "site": (drawn_outline("lot"), drawn_outline("house")),
    "run": (drawn_line("points"), MEASURED),
    "feature": (feet("x", "East"), feet("y", "North")),
}
WAY = (feet("east", "East"), feet("north", "North"))
PARTS = {"lot", "house"}


def _form_of(kind: str) -> tuple[Field | Group, ...]:
    if kind not in DRAWN:
        raise NotFound("There is nothing of that kind to draw.")
    return DRAWN[kind]


@router.get("/drawing")
async def show_drawing(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The drawing alone, at the width it is seen."""
    return page(request, "plan/_drawing.html", figure_of(request, sheet(office, job_id), focus))


@router.post("/drawn/{kind}/{thing_id}")
async def redraw(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """The shape of a thing as it was drawn."""
    form = await request.form()
    parsed = read(form, _form_of(kind), office.firm())
    saved = save_form(
        parsed,
        lambda: drawing.redraw(
            office, job_id, kind, thing_id, parsed.values, version_of(form), order_of(form, "Drawn")
        ),
    )
    return show(request, office, job_id, "plan", focus=focus_of(form), saved=saved)


@router.post("/drawn/{kind}/{thing_id}/move")
async def move(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """A whole thing moved."""
    form = await request.form()
    _form_of(kind)
    parsed = read(form, WAY, office.firm(), whole=True)
    part = str(form.get("part", ""))
    shift = drawing.Shift(
        east=parsed.values.get("east") or 0.0,
        north=parsed.values.get("north") or 0.0,
        part=part if part in PARTS else "",
    )
    saved = save_form(
        parsed,
        lambda: drawing.move_thing(office, job_id, kind, thing_id, shift, version_of(form), order_of(form, "Moved")),
    )
    return show(request, office, job_id, "plan", focus=focus_of(form), saved=saved)
