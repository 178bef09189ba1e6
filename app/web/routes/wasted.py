"""What closed jobs taught of what is lost of a material: the list, one material with its jobs, and taking it."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.costing.explain_words import unit_text
from app.services import kept_papers, wasted
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, text, version_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.rendering import handed_out, page, wants_fragment
from app.web.routes.why import firm_why
from app.web.sheet_pages import NOTHING_SENT

HERE = "/firm/waste"
router = APIRouter(prefix=HERE)
TAKEN = (text("mark", "What was shown", most=40),)


@router.get("")
async def show_wasted(request: Request, office: OfficeHere) -> Response:
    """All materials that closed jobs tell of."""
    reading = await kept_papers.caught_up(office)
    it = wasted.wasted(office)
    return leaf(
        request,
        office,
        "waste/page.html",
        {"it": it, "reading": reading, "here": "waste"},
        versions=it.own,
        back=HERE,
    )


@router.get("/table.csv")
async def wasted_table(request: Request, office: OfficeHere) -> Response:
    """The same as a table, job by job."""
    return handed_out(request, wasted.table(office), "waste-from-own-jobs.csv", "text/csv")


@router.get("/why/{figure}")
async def show_why(request: Request, office: OfficeHere, figure: str) -> Response:
    """Where a figure comes from."""
    return firm_why(request, office, wasted.explained(office, figure[:160]), HERE)


@router.get("/{way}/{key}")
async def show_material(request: Request, office: OfficeHere, way: str, key: str) -> Response:
    """One material."""
    return _material(request, office, (way, key))


@router.get("/{way}/{key}/drafts")
async def show_drafts(request: Request, office: OfficeHere, way: str, key: str) -> Response:
    """What open drafts would change by."""
    _, one = wasted.lesson_of(office, way, key)
    context = {"title": one.material.title, "moved": await wasted.moved_by(office, one), "back": f"{HERE}/{way}/{key}"}
    return page(request, "taught/_drafts.html" if wants_fragment(request) else "taught/drafts.html", context)


@router.post("/{way}/{key}")
async def take(request: Request, office: OfficeHere, way: str, key: str) -> Response:
    """What was shown becomes the firm's own, in one change that can be undone."""
    form = await request.form()
    parsed = read(form, TAKEN, office.firm(), whole=True)
    version, mark = version_of(form), parsed.values["mark"]
    saved = save_form(parsed, lambda: wasted.take(office, (way, key), version, mark, order_of(form, "")))
    return _material(request, office, (way, key), saved)


@router.post("/{way}/{key}/back")
async def give_back(request: Request, office: OfficeHere, way: str, key: str) -> Response:
    """What stood before own jobs were taken stands again."""
    form = await request.form()
    parsed, version = read(form, (), office.firm()), version_of(form)
    saved = save_form(parsed, lambda: wasted.give_back(office, (way, key), version, order_of(form, "")))
    return _material(request, office, (way, key), saved)


def _material(request: Request, office: Office, at: tuple[str, str], saved: Saved[Any] = NOTHING_SENT) -> Response:
    it, one = wasted.lesson_of(office, *at)
    back, many = f"{HERE}/{at[0]}/{at[1]}", unit_text(one.material.buy, 2)
    context = {"it": it, "one": one, "many": "pieces" if many == "each" else many}
    return leaf(request, office, "waste/material.html", context, versions=it.own, back=back, saved=saved)
