"""Beds: the plant list of each, what is looked for in the plant table, rows added, changed, taken off."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.plant import KINDS, PATTERNS, SUN
from app.services import beds
from app.services.bed_care import MONTHS, bed_year, watering_pdf
from app.services.drip import drip_of, drip_picture
from app.services.drip import lay_drip as lay_drip_line
from app.services.drip import take_drip as take_drip_line
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.crew_screens import printed
from app.web.forms.fields import Parsed, focus_of, order_as_read, order_of, read
from app.web.forms.planting import ADDED, LAID, PLANT_PRICE, PLANTING, typed_places
from app.web.forms.saving import save_form
from app.web.rendering import svg
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/beds")
MOST_WORDS = 80  # characters of a search


@router.get("")
async def show_beds(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """Every bed with its plant list."""
    return show(request, office, job_id, "beds", focus=focus)


@router.get("/watering.pdf")
async def watering_sheet(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The first-season watering sheet as a PDF."""
    return await printed(request, watering_pdf(office, sheet(office, job_id)), f"watering-sheet-{job_id}.pdf")


@router.post("/drip/{way_id}")
async def take_drip(request: Request, office: OfficeHere, job_id: UUID, way_id: UUID) -> Response:
    """The drip line of a bed put into its recipe."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: take_drip_line(office, job_id, way_id, order_of(form, "Drip line")))
    return show(request, office, job_id, "beds", focus=focus_of(form), saved=saved)


@router.post("/drip/{way_id}/laid")
async def lay_drip(request: Request, office: OfficeHere, job_id: UUID, way_id: UUID) -> Response:
    """The drip line of a bed laid in rows, or around."""
    form = await request.form()
    parsed, order = read(form, LAID, office.firm(), whole=True), order_as_read(form, "Drip line")
    saved = save_form(parsed, lambda: lay_drip_line(office, job_id, way_id, parsed.values["drip"], order))
    return show(request, office, job_id, "beds", focus=focus_of(form), saved=saved)


@router.post("/planting/new")
async def add_plant(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A species on a bed's list; its row stays open to be changed."""
    form = await request.form()
    parsed = read(form, ADDED, office.firm(), whole=True)
    saved = save_form(parsed, lambda: beds.add_plant(office, job_id, parsed.values, order_of(form, "New plant")))
    focus = f"planting:{saved.result}" if saved.ok else focus_of(form)
    return show(request, office, job_id, "beds", focus=focus, saved=saved)


@router.post("/planting/{planting_id}")
async def change_plant(request: Request, office: OfficeHere, job_id: UUID, planting_id: UUID) -> Response:
    """Size, pattern, spacing, share or places of a row."""
    form = await request.form()
    parsed = read(form, PLANTING, office.firm())
    order = order_as_read(form, "Plant")
    saved = save_form(parsed, lambda: beds.change_plant(office, job_id, planting_id, parsed.values, order))
    return show(request, office, job_id, "beds", focus=f"planting:{planting_id}", saved=saved)


@router.post("/planting/{planting_id}/price")
async def price_plant(request: Request, office: OfficeHere, job_id: UUID, planting_id: UUID) -> Response:
    """A price of its own for the plant of a row, kept in the price book."""
    form = await request.form()
    parsed = read(form, PLANT_PRICE, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: beds.price_plant(office, job_id, planting_id, parsed.values, order_of(form, "Price"))
    )
    return show(request, office, job_id, "beds", focus=f"planting:{planting_id}", saved=saved)


@router.post("/planting/{planting_id}/remove")
async def remove_plant(request: Request, office: OfficeHere, job_id: UUID, planting_id: UUID) -> Response:
    """A row taken off its list; undo brings it back."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: beds.remove_plant(office, job_id, planting_id, order_of(form, "")))
    return show(request, office, job_id, "beds", focus=focus_of(form), saved=saved)


def _give(request: Request, office: Office, view: Sheet, focus: str) -> Mapping[str, Any]:
    lines = beds.bed_lines(view)
    kind, _, name = focus.partition(":")
    words, of_kind = (request.query_params.get(name, "")[:MOST_WORDS] for name in ("find", "kind"))
    found, count = beds.find_plants(view, words, of_kind) if kind == "bed" else ((), 0)
    row = next((row for bed in lines for row in bed.lines if f"{row.row.planting.id}" == name), None)
    bed = next((bed for bed in lines if str(bed.way.id) == name or (row and row in bed.lines)), None)
    return {
        "beds": lines,
        "years": {bed.way.id: bed_year(view, bed) for bed in lines},
        "drawn": svg,
        "drips": {bed.way.id: drip_of(view, bed.way) for bed in lines},
        "drip_picture": drip_picture,
        "bed": bed,
        "row": row,
        "sizes": [(one.key, one.title) for one in beds.sizes_of(view, row.row.planting)] if row else [],
        "places_typed": typed_places(row.row.planting.points, office.firm().system) if row else "",
        "months": MONTHS,
        "priced_as": beds.priced_as(view, row.row.planting) if row else "",
        "patterns": list(PATTERNS.items()),
        "sun_words": SUN,
        "kinds": list(KINDS.items()),
        "find": words,
        "kind": of_kind,
        "found": found,
        "found_count": count,
    }


register(SheetPage(key="beds", title="Beds", template="beds/page.html", give=_give, part_of="plan"))
