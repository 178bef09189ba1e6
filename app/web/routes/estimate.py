"""The estimate: lines by zone, trade or class; the build-up; the job as a whole; missing prices; a firm price."""

from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup

from app.domain.costing.grouping import By, Group
from app.domain.errors import NotFound
from app.domain.units import parse_price
from app.services import estimates
from app.services.editions import newer_editions
from app.services.estimate_class import class_view
from app.services.estimate_view import estimate_sheet, rows_of, unpriced
from app.services.largest import largest_of
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.since_seen import moved_since_seen
from app.services.trials import draw, range_view
from app.services.work_lines import work_lines
from app.web.access import OfficeHere
from app.web.estimate_rows import rows_html
from app.web.forms.fields import Field, Parsed, order_as_read, order_of, read, text
from app.web.forms.saving import save_form
from app.web.rendering import page
from app.web.sheet_pages import SheetPage, register, show
from app.web.worked_aside import Aside

router = APIRouter(prefix="/jobs/{job_id}/estimate")

TRIALS = Aside(
    name="trials",
    on="estimate#outlook",
    template="estimate/_outlook.html",
    work=draw,
    known=lambda office, view: {"ranged": range_view(office, view)},
)
VIEWS: Mapping[str, By] = {"zone": "zone", "trade": "trade", "class": "class"}
OPEN_BELOW = 60  # lines: a small job is shown with all its lines, a large one folded by group
MOST_NAMED = 8_000  # characters that say which groups are unfolded
FIRM_PRICE = (
    text("firm_price_by", "Who goes on", required=True),
    text("firm_price_reason", "Why", required=True, most=1_000),
)
UNIT_PRICE = (Field(name="unit_price", label="Price", required=True, reader=lambda typed, _firm: parse_price(typed)),)


@router.get("")
async def show_estimate(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The estimate sheet."""
    return show(request, office, job_id, "estimate", focus=focus[:100])


@router.get("/trials")
async def trials(request: Request, office: OfficeHere, job_id: UUID, again: bool = False) -> Response:
    """The range as drawn in ten thousand trials, or how far that is: its part for htmx, else the sheet once it is."""
    return await TRIALS.look(request, office, job_id, again)


@router.post("/trials/stop")
async def stop_trials(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The trials stopped: the closed form stands."""
    return await TRIALS.stop(request, office, job_id)


@router.post("/starting-works")
async def add_starting_works(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What every job starts with, where this one lacks it."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: estimates.add_starting_works(office, job_id, order_of(form, "")))
    return show(request, office, job_id, "estimate", saved=saved)


@router.post("/firm-price")
async def go_firm(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """On to a firm price over what is still rough, with name and reason."""
    form = await request.form()
    parsed = read(form, FIRM_PRICE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: estimates.go_firm(
            office, job_id, parsed.values["firm_price_by"], parsed.values["firm_price_reason"], order_as_read(form, "")
        ),
    )
    return show(request, office, job_id, "estimate", saved=saved)


@router.post("/firm-price/back")
async def go_back(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Back to a range."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: estimates.go_firm(office, job_id, "", "", order_as_read(form, "")))
    return show(request, office, job_id, "estimate", saved=saved)


@router.post("/price/{material}")
async def price_material(request: Request, office: OfficeHere, job_id: UUID, material: str) -> Response:
    """A missing price typed into the price book; the note stays open when it was not understood."""
    form = await request.form()
    parsed = read(form, UNIT_PRICE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: estimates.price_material(office, material, parsed.values["unit_price"], order_of(form, "")),
    )
    focus = "" if saved.ok else f"price:{material[:80]}"
    return show(request, office, job_id, "estimate", focus=focus, saved=saved)


@router.get("/lines")
async def show_lines(request: Request, office: OfficeHere, job_id: UUID, group: str = "") -> Response:
    """The lines of one group, asked for when it is unfolded. Raises: NotFound."""
    view = sheet(office, job_id)
    by = view_asked_for(request)
    found = next((one for one in estimate_sheet(office, view, by).groups if one.key == group), None)
    if found is None:
        raise NotFound("These lines are not part of the estimate any more. Load the page again.")
    given = {"group": found, "why": f"/jobs/{job_id}/why/", "rows": _rows_in(office, view, by)}
    return page(request, "estimate/_group.html", given)


def unfolded(request: Request) -> Callable[[str], bool]:
    """Which groups stand open: all of them, those the address names, or those that are open on the page asking."""
    named = request.query_params.getlist("lines")
    if named == ["all"]:
        return lambda _key: True
    told = request.headers.get("x-outlay-lines", "")[:MOST_NAMED]
    keys = {*named, *(unquote(one) for one in told.split(",") if one)}
    return keys.__contains__


def view_asked_for(request: Request) -> By:
    """By what the lines are grouped: as the address says, or the address the form stood on."""
    asked = request.query_params.get("by", "")
    standing = parse_qs(urlsplit(request.headers.get("hx-current-url", "")).query).get("by", [""])[0]
    return VIEWS.get(asked) or VIEWS.get(standing) or "zone"


def _give(request: Request, office: Office, view: Sheet, focus: str) -> dict[str, Any]:
    it = estimate_sheet(office, view, view_asked_for(request))
    kind, _, key = focus.partition(":")
    works = [one.work for one in it.works if kind == "work" and str(one.work.id) == key]
    return {
        "it": it,
        "known": class_view(office, view),
        **TRIALS.given(office, view),
        "work": next(iter(work_lines(view, works)), None),
        "to_price": unpriced(view, "material", key) if kind == "price" and key in view.basis.materials else None,
        "rows": _rows_in(office, view, it.by),
        "is_open": (lambda _key: True) if len(view.estimate.lines) <= OPEN_BELOW else unfolded(request),
        "orders_open": len(view.estimate.lines) <= OPEN_BELOW,
        "largest": largest_of(office, view),
        "moved": moved_since_seen(office, view),
        "newer": newer_editions(office, view.opened),
    }


def _rows_in(office: Office, view: Sheet, by: By) -> Callable[[Group], Markup]:
    """What writes the rows of a group."""
    templates, job_page = office.settings.templates, f"/jobs/{view.job.head.id}"
    return lambda group: rows_html(rows_of(view, group), templates, job_page, by)


register(SheetPage(key="estimate", title="Estimate", template="estimate/page.html", give=_give))
