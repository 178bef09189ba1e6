"""What the client's pages are given: the client's own value of the job, made apart, never the job itself."""

from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response
from markupsafe import Markup

from app.documents.lying_drawing import board_svg
from app.documents.plan_drawing import plan_svg
from app.documents.scale_bar import covered_bar_svg
from app.documents.swatches import palette_of, palette_svg
from app.domain.job import Job
from app.domain.palette.seasons import by_season
from app.domain.palette.seen_in import LOOKS
from app.services import care, clients_yard, later_options, proposals, revisions
from app.services.office import Office
from app.services.palette_advice import tiles_on
from app.services.revisions import CHANGE, CHANGE_ORDER, PROPOSAL
from app.services.sheets import Sheet, sheet
from app.web.forms.saving import Saved
from app.web.rendering import page, svg
from app.web.routes.seen import seen_context
from app.web.sheet_pages import NOTHING_SENT

YARD = "yard"
PAGES = (
    ("plan", "Plan"),
    ("places", "Places"),
    ("palette", "Palette"),
    ("seen", "Seen"),
    ("phases", "Phases"),
    ("options", "Options"),
    ("proposal", "Proposal"),
    (YARD, "Your yard"),
)
AGREED = {PROPOSAL, CHANGE, CHANGE_ORDER}


def context_of(office: Office, job_id: UUID, key: str) -> dict[str, Any]:
    """What the client's pages are given: the client's own value of the job, never the job itself."""
    view = sheet(office, job_id)
    made = proposals.next_draft(office, view)
    open_offers = [one for one in revisions.of_job(office, job_id) if one.state in {"offered", "signed"}]
    taken_later = later_options.later(office, view)
    return {
        "offer": made.offer,
        "job_id": str(job_id),
        "pages": _pages(view.job, options=bool(made.offer.choices.any or taken_later)),
        "saved": NOTHING_SENT,
        "at": "",
        "current": key,
        "revisions": open_offers,
        "signed": next((one for one in open_offers if one.kind == PROPOSAL and one.state == "signed"), None),
        "agreed": next((one for one in open_offers if one.kind in AGREED and one.state == "signed"), None),
        "later": taken_later,
        "part": "show/_later.html" if taken_later else "show/_options.html",
        "draft": made,
        "plan": svg(plan_svg(view.job, view.basis, width_px=760, height_px=600, face="client")),
        "strip": svg(palette_svg(palette_of(view.job, view.basis), width_px=740)),
        "narrow_strip": svg(palette_svg(palette_of(view.job, view.basis), width_px=350, name="palette-narrow")),
        "boards": _boards(office, view) if key == "palette" else (),
        "seasons": by_season(view.job, view.basis),
        "covered": svg(covered_bar_svg()),
    }


def _pages(job: Job, *, options: bool) -> list[tuple[str, str]]:
    """The pages there are: a yard that is handed over has its own, first of all."""
    over = [one for one in PAGES if one[0] == YARD and job.handed_over]
    return [*over, *(one for one in PAGES if one[0] != YARD and (one[0] != "options" or options))]


def _boards(office: Office, view: Sheet) -> list[Markup]:
    """The surfaces as they will lie, in each light."""
    tiles = tiles_on(office, view)
    return [svg(board_svg(tiles, look, name=f"lies-{place}")) for place, look in enumerate(LOOKS if tiles else ())]


def client_page(
    request: Request, office: Office, job_id: UUID, key: str, *, lift: bool = False, saved: Saved[Any] = NOTHING_SENT
) -> Response:
    """One of the client's pages; the first where there is none of that name (yet)."""
    context = shown(office, job_id, key, lift=lift)
    key = key if key in dict(context["pages"]) or key == "options" else PAGES[0][0]
    view = sheet(office, job_id)
    if key == "seen":
        context |= seen_context(request, office, view)
    if key == YARD:
        context |= yard_context(office, view)
    return page(request, f"show/{key}.html", {**context, "current": key, "saved": saved}, status=saved.status)


def shown(office: Office, job_id: UUID, key: str, *, lift: bool) -> dict[str, Any]:
    """The same with the price under its cover, unless that is lifted."""
    context = {**context_of(office, job_id, key), "lifted": lift}
    if not lift:
        context["offer"] = proposals.covered(context["offer"])
    context.pop("draft")
    return context


def yard_context(office: Office, view: Sheet) -> dict[str, Any]:
    """A yard that is handed over: its care by month, what lies in the ground, visits, and asking."""
    return {
        "yard": clients_yard.clients_yard(office, view),
        "drawing": svg(clients_yard.as_built_drawing(view)),
        "month_names": care.MONTHS,
    }
