"""The library: lists of recipes, materials and tasks; one of each to change beside the shipped one."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import NotFound
from app.services import library
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.book import BOOK
from app.web.forms.colors import color_texts
from app.web.forms.fields import order_of, read, text, version_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.rendering import go
from app.web.routes.prices import UNITS
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/library")
RECIPE = (text("text", "Recipe", required=True, most=20_000),)


@router.get("")
async def show_library(request: Request, office: OfficeHere, kind: str = "assembly", search: str = "") -> Response:
    """The list of recipes, materials or tasks."""
    found = library.shelf(office, kind, search[:100])
    context = {"shelf": found, "kind": kind, "search": search[:100]}
    back = f"/library?kind={kind}"
    return leaf(request, office, "library/page.html", context, versions=found.own, back=back)


@router.get("/{kind}/{key}")
async def show_entry(request: Request, office: OfficeHere, kind: str, key: str) -> Response:
    """A recipe as text, or a material or task as a form."""
    return _entry(request, office, kind, key)


@router.post("/assembly/{key}")
async def save_recipe(request: Request, office: OfficeHere, key: str) -> Response:
    """A recipe as typed, kept as the firm's own when it can be worked out."""
    form = await request.form()
    parsed = read(form, RECIPE, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: library.save_recipe(office, key, version_of(form), parsed.values["text"], order_of(form, ""))
    )
    return _entry(request, office, "assembly", str(saved.result) if saved.ok else key, saved)


@router.post("/{kind}/{key}/shipped")
async def back_to_shipped(request: Request, office: OfficeHere, kind: str, key: str) -> Response:
    """The firm's own taken out: the shipped one stands again."""
    form = await request.form()
    stands = library.back_to_shipped(office, kind, key, order_of(form, "Back to the shipped one"))
    return go(request, f"/library/{kind}/{key}" if stands else f"/library?kind={kind}")


@router.post("/{kind}/{key}")
async def save_thing(request: Request, office: OfficeHere, kind: str, key: str) -> Response:
    """A material or a task as the firm's own."""
    if kind not in {"material", "task"}:
        raise NotFound("The library holds recipes, materials and tasks.")
    form = await request.form()
    parsed = read(form, BOOK[kind], office.firm())
    saved = save_form(
        parsed, lambda: library.save_thing(office, kind, key, version_of(form), parsed.values, order_of(form, ""))
    )
    return _entry(request, office, kind, key, saved)


def _entry(request: Request, office: Office, kind: str, key: str, saved: Saved[Any] = NOTHING_SENT) -> Response:
    opened = library.open_entry(office, kind, key)
    crews = [(one.key, one.title) for one in office.basis().labor_classes.values()]
    context = {"opened": opened, "kind": kind, "key": key, "units": UNITS, "crews": crews}
    if kind == "material":
        context |= color_texts(opened.value)
    back = f"/library/{kind}/{key}"
    return leaf(request, office, f"library/{kind}.html", context, versions=opened.own, back=back, saved=saved)
