"""What is drawn by hand on the plan: shapes changed, things moved, the drawing itself at the size it is seen."""

from collections.abc import Mapping
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response
from starlette.datastructures import FormData

from app.domain.errors import NotFound
from app.domain.job import EXISTING_KINDS, UTILITIES, Fate, RunKind, ZoneKind
from app.services import drawing
from app.services.sheets import sheet
from app.web.access import OfficeHere
from app.web.forms.drawn import direction, drawn_line, drawn_outline, feet
from app.web.forms.fields import Field, Group, choice, focus_of, length, order_of, read, text, thing, version_of, yes
from app.web.forms.saving import save_form
from app.web.forms.sprinklers import OF_HEAD, VALVE_OF_HEAD
from app.web.forms.things import MEASURED
from app.web.plan_figure import figure_of
from app.web.rendering import page
from app.web.sheet_pages import show_saved

router = APIRouter(prefix="/jobs/{job_id}/plan")

DRAWN: Mapping[str, tuple[Field | Group, ...]] = {
    "alternative": (drawn_outline("outline"), MEASURED),
    "existing": (drawn_outline("outline"), drawn_line("points"), feet("x", "East"), feet("y", "North")),
    "site": (drawn_outline("lot"), drawn_outline("house")),
    "run": (drawn_line("points"), MEASURED),
    "feature": (feet("x", "East"), feet("y", "North")),
    "easement": (drawn_outline("outline"), drawn_line("points")),
    "dimension": (drawn_line("points"),),
    "note": (feet("x", "East"), feet("y", "North")),
    "underlay": (),
}
STANDING = (feet("x", "East"), feet("y", "North"))
MADE: Mapping[str, tuple[Field | Group, ...]] = {
    "zone": (drawn_outline("outline"), MEASURED, choice("kind", "What it is for", [one.value for one in ZoneKind])),
    "run": (drawn_line("points"), MEASURED, choice("kind", "Kind", [one.value for one in RunKind])),
    "feature": STANDING,
    "existing": (
        *(drawn_outline("outline"), drawn_line("points"), *STANDING),
        choice("what", "What is there", [*EXISTING_KINDS, *(drawing.UTILITY + key for key in UTILITIES)]),
        choice("fate", "What happens to it", [one.value for one in Fate]),
    ),
    "opening": STANDING,
    "easement": (drawn_outline("outline"), drawn_line("points"), length("width", "How wide")),
    "dimension": (drawn_line("points"), feet("offset", "Its line")),
    "plant": (*STANDING, thing("row", "Plant")),
    "light": (*STANDING, text("recipe", "What is set", most=80)),
    "head": (*STANDING, VALVE_OF_HEAD, *OF_HEAD[1:], yes("new", "New ones")),
    "note": (*STANDING, feet("to.x", "East"), feet("to.y", "North"), text("words", "Words", most=400)),
}
STRETCH = (length("length", "Length", required=True), direction("direction", "Direction"))
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


@router.get("/stretch")
async def read_stretch(office: OfficeHere, length: str = "", direction: str = "") -> Response:
    """A typed length and direction, read as everywhere: in feet, and in degrees, 0 right and 90 up."""
    parsed = read(FormData({"length": length, "direction": direction}), STRETCH, office.firm(), whole=True)
    if not parsed.ok:
        return JSONResponse({"sentence": " ".join(parsed.errors.values())}, status_code=422)
    return JSONResponse({"length": parsed.values["length"], "bearing": parsed.values["direction"]})


@router.post("/draw/{kind}")
async def make(request: Request, office: OfficeHere, job_id: UUID, kind: str) -> Response:
    """Something new, as it was drawn."""
    form = await request.form()
    if kind not in MADE:
        raise NotFound("There is nothing of that kind to draw.")
    parsed = read(form, MADE[kind], office.firm(), whole=True)
    saved = save_form(parsed, lambda: drawing.make(office, job_id, kind, parsed.values, order_of(form, "Drawn")))
    return await show_saved(request, office, job_id, "plan", focus=saved.result or focus_of(form), saved=saved)


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
    return await show_saved(request, office, job_id, "plan", focus=focus_of(form), saved=saved)


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
    return await show_saved(request, office, job_id, "plan", focus=focus_of(form), saved=saved)
