"""Options and packages: what is offered beside the price, what is ticked, and sets side by side."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.choices import MOST_PACKAGES
from app.services import choosing, fitting
from app.services.choice_view import choices_sheet
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, money, order_of, read, text, yes
from app.web.forms.saving import save_form, save_form_async
from app.web.forms.things import FORMS
from app.web.rendering import page
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/choices")

TICK = (yes("taken", "In the price"), text("initials", "Initials", most=choosing.LONGEST_INITIALS))
NEW_PACKAGE = (text("title", "What the package is called", required=True, most=120), text("words", "In plain words"))


@router.get("")
async def show_choices(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """Options and packages with their prices."""
    return show(request, office, job_id, "choices", focus=focus[:100])


@router.post("/option/new")
async def add_option(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Zones, lines and things, or one other way, offered as an option."""
    form = await request.form()
    parsed = read(form, FORMS["option"], office.firm(), whole=True)
    saved = save_form(parsed, lambda: choosing.add_option(office, job_id, parsed.values, order_of(form, "Option")))
    return show(request, office, job_id, "choices", focus="" if saved.ok else "option:new", saved=saved)


@router.post("/option/{option_id}/tick")
async def tick(request: Request, office: OfficeHere, job_id: UUID, option_id: UUID) -> Response:
    """An option ticked, or its tick taken out."""
    form = await request.form()
    parsed = read(form, TICK, office.firm(), whole=True)
    taken, initials = bool(parsed.values.get("taken")), parsed.values.get("initials") or ""
    saved = save_form(
        parsed,
        lambda: choosing.tick(office, job_id, option_id, initials, taken=taken, order=order_of(form, "")),
    )
    return show(request, office, job_id, "choices", saved=saved)


BUDGET = (money("budget", "It may cost at most", required=True),)


@router.get("/next")
async def next_things(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The budget against the price, and the next thing out and in: what the Estimate and Client sheets ask for."""
    view = sheet(office, job_id)
    context = {"money": fitting.budget(office, view), "estimate": view.estimate, "job": view.job}
    return page(request, "choices/_next.html", context)


@router.post("/best")
async def look_for_best(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """Look for the best set under a budget; nothing is changed by it."""
    form = await request.form()
    parsed = read(form, BUDGET, office.firm(), whole=True)
    view = sheet(office, job_id)
    saved = await save_form_async(parsed, lambda: fitting.look_for_best(office, view, parsed.values["budget"]))
    return show(request, office, job_id, "choices", focus="best", saved=saved)


@router.post("/best/take")
async def take_best(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The best set made the job's own."""
    form = await request.form()
    view = sheet(office, job_id)
    saved = save_form(Parsed(), lambda: fitting.take_best(office, view, order_of(form, "")))
    return show(request, office, job_id, "choices", saved=saved)


@router.post("/package/new")
async def add_package(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """A package of what the job has now."""
    form = await request.form()
    parsed = read(form, NEW_PACKAGE, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: choosing.add_package(
            office, job_id, parsed.values["title"], parsed.values.get("words") or "", order_of(form, "")
        ),
    )
    return show(request, office, job_id, "choices", focus="" if saved.ok else "package:new", saved=saved)


@router.post("/package/{package_id}/take")
async def take_package(request: Request, office: OfficeHere, job_id: UUID, package_id: UUID) -> Response:
    """A package made the job's choice."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: choosing.take_package(office, job_id, package_id, order_of(form, "")))
    return show(request, office, job_id, "choices", saved=saved)


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return {
        "it": choices_sheet(office, view),
        "most_packages": MOST_PACKAGES,
        "money": fitting.budget(office, view),
        "best": fitting.best_set(office, view),
    }


register(
    SheetPage(key="choices", title="Options and budget", template="choices/page.html", give=_give, part_of="proposal")
)
