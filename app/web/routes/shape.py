"""Shapes on the plan reshaped by typing: split, joined, set off, squared up, moved, turned, copied, point by point."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.datastructures import FormData

from app.domain.plan.offsetting import CORNERS
from app.domain.plan.placing import Placing, placing_of
from app.domain.plan.squaring import NEARLY
from app.services import borders, placing_plan, reshaping
from app.services.borders import MAKES, SetOff
from app.services.reshaping import At, PointEdit
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, choice, count, length, order_of, read, text, thing, version_of
from app.web.forms.points import read_points
from app.web.forms.reshaping import MIRRORS, angle, line
from app.web.forms.saving import Saved, save_form
from app.web.sheet_pages import show

router = APIRouter(prefix="/jobs/{job_id}/plan/shape")

SPLIT = (line("cut", "Where it is cut", required=True),)
JOIN = (thing("other", "Which zone", required=True),)
SET_OFF = (
    length("width", "How wide", required=True),
    choice("makes", "What is made", [*MAKES, "shrink"], required=True),
    choice("corners", "Corners", CORNERS, empty=CORNERS[0]),
    count("edge", "Along which edge", least=1, most=500),
    text("title", "What it is called"),
    text("assembly", "Built as"),
)
SQUARE = (angle("within", "How nearly"),)
PLACE = (
    choice("how", "What is done", ["move", "copy", "mirror", "mirrored copy"], empty="move"),
    length("east", "To the right", signed=True, empty=0.0),
    length("north", "Up the sheet", signed=True, empty=0.0),
    angle("turn", "Turned to the left"),
    length("about_x", "About, right of the datum", signed=True, empty=0.0),
    length("about_y", "About, up from the datum", signed=True, empty=0.0),
    choice("mirror", "Mirrored", MIRRORS, empty="upright"),
)
CORNER = (
    count("place", "Which point", least=1, most=500, required=True),
    choice("what", "What is done", ["round", "run on", "run into", "straight"], required=True),
    length("amount", "Radius"),
)


def _answer(request: Request, office: OfficeHere, job_id: UUID, at: str, saved: Saved[reshaping.Reshaped]) -> Response:
    focus = saved.result.focus if saved.result else at
    return show(request, office, job_id, "plan", focus=focus, saved=saved)


@router.post("/zone/{thing_id}/split")
async def split(request: Request, office: OfficeHere, job_id: UUID, thing_id: UUID) -> Response:
    """A zone split by a typed line."""
    form = await request.form()
    parsed = read(form, SPLIT, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: reshaping.split_zone(
            office, job_id, thing_id, parsed.values["cut"], version_of(form), order_of(form, "Split")
        ),
    )
    return _answer(request, office, job_id, f"zone:{thing_id}", saved)


@router.post("/zone/{thing_id}/join")
async def join(request: Request, office: OfficeHere, job_id: UUID, thing_id: UUID) -> Response:
    """Another zone joined to this one."""
    form = await request.form()
    parsed = read(form, JOIN, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: reshaping.join_zones(office, job_id, thing_id, parsed.values["other"], order_of(form, "Joined")),
    )
    return _answer(request, office, job_id, f"zone:{thing_id}", saved)


@router.post("/{kind}/{thing_id}/set-off")
async def set_off(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """A border, a bed or a line alongside; or the outline itself grown."""
    form = await request.form()
    parsed = read(form, SET_OFF, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: borders.set_off(office, job_id, kind, thing_id, _told(parsed), order_of(form, "Border")),
    )
    return _answer(request, office, job_id, f"{kind}:{thing_id}", saved)


def _told(parsed: Parsed) -> SetOff:
    values, shrinks = dict(parsed.values), parsed.values["makes"] == "shrink"
    edge = values.pop("edge")
    if shrinks:
        values |= {"makes": borders.SAME, "width": -values["width"]}
    return SetOff(**values, edge=None if edge is None else edge - 1)


@router.post("/{kind}/{thing_id}/square")
async def square_up(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """What is nearly square made so."""
    form = await request.form()
    parsed = read(form, SQUARE, office.firm(), whole=True)
    within = parsed.values.get("within") or NEARLY
    saved = save_form(
        parsed,
        lambda: reshaping.squared_up(
            office, job_id, At(kind=kind, thing_id=thing_id), within, version_of(form), order_of(form, "Squared up")
        ),
    )
    return _answer(request, office, job_id, f"{kind}:{thing_id}", saved)


@router.post("/all/place")
async def place_all(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The whole plan moved or turned."""
    form = await request.form()
    parsed = read(form, PLACE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: placing_plan.place_all(office, job_id, _placing(parsed), order_of(form, "The whole plan")),
    )
    return _answer(request, office, job_id, "plan:all", saved)


@router.post("/{kind}/{thing_id}/place")
async def place(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """One thing moved, turned, mirrored or copied."""
    form = await request.form()
    parsed = read(form, PLACE, office.firm(), whole=True)
    order = order_of(form, "Moved")
    if "copy" in parsed.values.get("how", ""):
        saved = save_form(
            parsed, lambda: placing_plan.copy_thing(office, job_id, kind, thing_id, _placing(parsed), order)
        )
    else:
        saved = save_form(
            parsed,
            lambda: placing_plan.place_thing(office, job_id, kind, thing_id, _placing(parsed), version_of(form), order),
        )
    return _answer(request, office, job_id, f"{kind}:{thing_id}", saved)


def _placing(parsed: Parsed) -> Placing:
    values = parsed.values
    about = (values["about_x"], values["about_y"])
    if "mirror" not in values["how"]:
        return placing_of(east=values["east"], north=values["north"], turn=values["turn"], about=about)
    east, north = (0.0, 1.0) if values["mirror"] == "upright" else (1.0, 0.0)
    moved = placing_of(east=values["east"], north=values["north"])
    return Placing(east=moved.east, north=moved.north, mirror=(about, (about[0] + east, about[1] + north)))


@router.post("/{kind}/{thing_id}/points/{ring}")
async def edit_points(
    request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID, ring: int
) -> Response:
    """The table of points as it was typed over."""
    form = await request.form()
    at = At(kind=kind, thing_id=thing_id, ring=ring)
    saved = _edited(office, job_id, at, read_points(form, office.firm()), form)
    return _answer(request, office, job_id, f"{kind}:{thing_id}", saved)


@router.post("/{kind}/{thing_id}/corner")
async def edit_corner(request: Request, office: OfficeHere, job_id: UUID, kind: str, thing_id: UUID) -> Response:
    """A corner rounded, or an edge bent so that it runs on."""
    form = await request.form()
    parsed = read(form, CORNER, office.firm(), whole=True)
    if parsed.ok:
        what, place = parsed.values["what"], parsed.values["place"] - 1
        told = PointEdit(what=what, place=place, amount=parsed.values["amount"], field="amount")
        parsed = Parsed(values={"edits": [told]}, typed=parsed.typed)
    saved = _edited(office, job_id, At(kind=kind, thing_id=thing_id), parsed, form)
    return _answer(request, office, job_id, f"{kind}:{thing_id}", saved)


def _edited(office: OfficeHere, job_id: UUID, at: At, parsed: Parsed, form: FormData) -> Saved[reshaping.Reshaped]:
    edits = parsed.values.get("edits", ())
    order = order_of(form, "Points")
    return save_form(parsed, lambda: reshaping.edit_points(office, job_id, at, edits, version_of(form), order))
