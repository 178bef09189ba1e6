"""The plant table: looked through, rows corrected, species of the firm's own added and taken out."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.plant import HARMS, KINDS, SUN, WATER
from app.services import plant_table
from app.services.bed_care import MONTHS
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, version_of
from app.web.forms.plant_table import PLANT_ROW, texts_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.rendering import go
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/library")
HERE = "/library/plants"
MOST_WORDS = 80  # characters of a search
WORDS = {
    "kinds": list(KINDS.items()),
    "suns": list(SUN.items()),
    "waters": [(one, one) for one in WATER],
    "harms": [("eaten", "when eaten"), ("skin", "on the skin"), (", ".join(HARMS), "when eaten, and on the skin")],
    "months": [(month, words) for month, words in enumerate(MONTHS, 1)],
    "sun_words": SUN,
}


@router.get("/plants")
async def show_table(
    request: Request, office: OfficeHere, find: str = "", kind: str = "", ours: bool = False
) -> Response:
    """The plants that were asked for."""
    words, of_kind = find[:MOST_WORDS], kind[:20]
    found = plant_table.plant_table(office, words, of_kind, ours=ours)
    asked = {"find": words, "kind": of_kind, "ours": ours}
    context = {**WORDS, "table": found, "asked": asked}
    return leaf(request, office, "library/plants.html", context, versions=found.own, back=HERE)


@router.get("/plants/new")
async def show_new(request: Request, office: OfficeHere) -> Response:
    """An empty row for a species of the firm's own."""
    return _new(request, office)


@router.post("/plants/new")
async def add_plant(request: Request, office: OfficeHere) -> Response:
    """A species of the firm's own."""
    form = await request.form()
    parsed = read(form, PLANT_ROW, office.firm(), whole=True)
    saved = save_form(parsed, lambda: plant_table.add_plant(office, parsed.values, order_of(form, "")))
    return _one(request, office, str(saved.result), saved) if saved.ok else _new(request, office, saved)


@router.get("/plant/{key}")
async def show_plant(request: Request, office: OfficeHere, key: str) -> Response:
    """A row with all its fields."""
    return _one(request, office, key)


@router.post("/plant/{key}")
async def correct_plant(request: Request, office: OfficeHere, key: str) -> Response:
    """A row as typed, kept as the firm's own."""
    form = await request.form()
    parsed = read(form, PLANT_ROW, office.firm())
    order, version = order_of(form, ""), version_of(form)
    saved = save_form(parsed, lambda: plant_table.correct_plant(office, key, version, parsed.values, order))
    return _one(request, office, key, saved)


@router.post("/plant/{key}/shipped")
async def as_shipped(request: Request, office: OfficeHere, key: str) -> Response:
    """The shipped row again; a species of the firm's own goes."""
    form = await request.form()
    stands = plant_table.as_shipped(office, key, order_of(form, ""))
    return go(request, f"/library/plant/{key}" if stands else HERE)


def _one(request: Request, office: Office, key: str, saved: Saved[Any] = NOTHING_SENT) -> Response:
    row, versions = plant_table.open_plant(office, key)
    context = {**WORDS, "row": row, "one": row.plant, "texts": texts_of(row.plant, office.firm().system)}
    back = f"/library/plant/{key}"
    return leaf(request, office, "library/plant.html", context, versions=versions, back=back, saved=saved)


def _new(request: Request, office: Office, saved: Saved[Any] = NOTHING_SENT) -> Response:
    versions = plant_table.plant_table(office).own
    context = {**WORDS, "row": None, "one": None, "texts": {}}
    return leaf(request, office, "library/plant.html", context, versions=versions, back=f"{HERE}/new", saved=saved)
