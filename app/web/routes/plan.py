"""The plan: zones with their outlines, edges, runs and features; another way to do a zone."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.job import LIMITED, RunKind, ZoneKind
from app.domain.plan.against import SIDES
from app.domain.plan.lines import typed_line
from app.domain.plan.shapes import typed_place
from app.domain.takeoff.ground import mark_places
from app.services import plan_print, plan_view, zones
from app.services.border_sides import FOCUS as SIDE_FOCUS
from app.services.border_sides import side_note
from app.services.buried_lines import below_of, lines_under
from app.services.edge_note import edge_note
from app.services.editions import newer_editions
from app.services.laying import pattern_note
from app.services.lot_limits import easement_lines, easement_note
from app.services.marks import places_by_name
from app.services.office import Office
from app.services.openings import opening_note
from app.services.placed_plants import plant_note
from app.services.plan_canvas import noted_in
from app.services.shape_view import shape_note
from app.services.sheets import Sheet
from app.services.work_lines import recipes_for
from app.services.zone_falls import fall_options, zone_finish
from app.services.zones import NewZone
from app.web.access import OfficeHere
from app.web.forms.fields import choice, focus_of, order_of, read, text, version_of
from app.web.forms.outlines import length_text, outline, texts, with_marks
from app.web.forms.saving import save_form
from app.web.forms.things import FORMS, MEASURED
from app.web.plan_figure import figure_of, zone_in_focus
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/plan")

PLACED = (text("against", "Lies against"), choice("side", "On its side", list(SIDES)))
NEW_ZONE = (
    *[field for field in FORMS["zone"] if field.name in {"title", "kind", "words"}],
    outline("outline", "Outline"),
    MEASURED,
    text("assembly", "Built as"),
    *PLACED,
)
ANOTHER_WAY = (text("way", "What this way is called", required=True),)


@router.post("/zone/new")
async def add_zone(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A zone with its outline as typed and, where one is chosen, its first recipe."""
    form = await request.form()
    parsed = read(form, with_marks(NEW_ZONE, places_by_name(office, job_id)), office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: zones.add_zone(office, job_id, NewZone(**parsed.values), order_of(form, "New zone"))
    )
    return show(request, office, job_id, "plan", focus=f"zone:{saved.result or 'new'}", saved=saved)


@router.post("/alternative/{alternative_id}")
async def outline_zone(request: Request, office: OfficeHere, job_id: UUID, alternative_id: UUID) -> Response:
    """The outline, level and fall of one way to do a zone."""
    form = await request.form()
    fields = with_marks(FORMS["alternative"], places_by_name(office, job_id))
    parsed = read(form, (*fields, *PLACED), office.firm())
    saved = save_form(
        parsed,
        lambda: zones.outline_zone(
            office, job_id, alternative_id, parsed.values, version_of(form), order_of(form, "Outline")
        ),
    )
    return show(request, office, job_id, "plan", focus=focus_of(form), saved=saved)


@router.post("/zone/{zone_id}/another-way")
async def add_alternative(request: Request, office: OfficeHere, job_id: UUID, zone_id: UUID) -> Response:
    """Another way to do a zone, begun as a copy of the chosen one."""
    form = await request.form()
    parsed = read(form, ANOTHER_WAY, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: zones.copy_alternative(office, job_id, zone_id, parsed.values["way"], order_of(form, "Another way")),
    )
    return show(request, office, job_id, "plan", focus=f"zone:{zone_id}", saved=saved)


@router.get("")
async def show_plan(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The plan sheet."""
    return show(request, office, job_id, "plan", focus=focus)


def _give(request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    job, firm = view.job, view.basis.firm
    zone = zone_in_focus(job, focus)
    edge = edge_note(view, focus) if focus.startswith("edge:") else None
    thing = plan_view.thing_line(view, focus)
    note = plan_view.zone_note(office, view, zone) if zone else None
    marks = mark_places(job)
    side = side_note(view, focus) if focus.startswith(SIDE_FOCUS) else None
    lit = edge.zone if edge else side.zone if side else None
    return {
        **figure_of(request, view, focus, lit),
        "note": note,
        "pattern": pattern_note(view, note.chosen.id) if note and note.chosen else None,
        "shape": shape_note(view, focus),
        "noted": noted_in(job, focus),
        "easement": easement_note(job, focus),
        "easements": easement_lines(job),
        "limited": list(LIMITED.items()),
        "opening": opening_note(job, focus),
        "plant": plant_note(view, focus),
        "picture": next((one for one in job.underlays if focus == f"underlay:{one.id}"), None),
        "edge": edge,
        "side": side,
        "lines_under": lambda under: lines_under(view, under),
        "below": below_of(view, focus),
        "thing": thing,
        "known_outline": texts(note.chosen.outline, "outline", firm, marks) if note and note.chosen else {},
        "finish": zone_finish(job, zone) if zone else None,
        "fall_options": fall_options(job, note.chosen) if note and note.chosen else [],
        "place_text": lambda point: typed_place(point, system=firm.system, marks=marks) if point else "",
        "mark_names": [name for name, at in marks.items() if at],
        "neighbors": plan_view.neighbors_of(job, but=zone),
        "kinds": [(kind.value, kind.value.capitalize()) for kind in ZoneKind],
        "run_kinds": [(kind.value, kind.value.capitalize()) for kind in RunKind],
        "surfaces": recipes_for(view.basis, "zone"),
        "feature_recipes": recipes_for(view.basis, "feature"),
        "rows": plan_view.zone_rows(view),
        "things": plan_view.thing_lines(view),
        "newer": newer_editions(office, view.opened),
        "phases": [(str(phase.id), f"{phase.number} {phase.title}") for phase in job.phases],
        "papers": plan_print.papers(),
        "scales": plan_print.scales(),
        "zone_options": plan_view.zone_options(job),
        "length_text": lambda feet: "" if feet is None else length_text(feet, firm.system),
        "typed_line": lambda run: typed_line(run.points, run.rises, system=firm.system, marks=marks),
    }


register(SheetPage(key="plan", title="Plan", template="plan/page.html", give=_give))
