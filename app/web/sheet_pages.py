"""The sheets of a job: which templates each has and what they are given. A saved form comes back as its own sheet."""

import asyncio
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from fastapi import Request
from fastapi.responses import Response

from app.documents.scale_bar import ScaleBar, scale_bar_svg
from app.domain.errors import NotFound
from app.domain.job import is_anything_asked
from app.services.first_call import FirstCall, first_call
from app.services.last_step import last_step
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.services.takings import marks_of
from app.web.forms.fields import Parsed
from app.web.forms.saving import Saved
from app.web.rendering import answer, svg, wants_fragment
from app.web.stale import again_of

Give = Callable[[Request, Office, Sheet, str], Mapping[str, Any]]
TURNS = 4  # of the event loop: in so many a request is read, then its form, and it has saved
NOTHING_SENT: Saved[Any] = Saved(Parsed())


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPage:
    """One sheet: its key in the address, its template, and what it is given beyond what every sheet shows.

    `give(request, office, view, focus)`: `focus` names the thing whose margin note is open ("zone:ID"), or is empty.
    """

    key: str
    title: str
    template: str  # one for both: it extends `layout`, which is the whole sheet, or its parts for htmx
    give: Give
    part_of: str = ""  # key of the sheet it is reached from, where it is not in the index itself


_PAGES: dict[str, SheetPage] = {}
ORDER = ("client", "site", "plan", "palette", "checks", "estimate", "phases", "proposal", "build", "after")


def register(page: SheetPage) -> SheetPage:
    """Add a sheet to the index."""
    _PAGES[page.key] = page
    return page


def page_of(key: str) -> SheetPage:
    """A sheet by its key.

    Raises: NotFound.
    """
    if key not in _PAGES:
        raise NotFound("There is no such sheet. Nothing was changed.")
    return _PAGES[key]


def index() -> tuple[SheetPage, ...]:
    """The sheets there are, in their order."""
    return tuple(_PAGES[key] for key in ORDER if key in _PAGES)


async def known_sheet(request: Request) -> None:
    """For routes with a sheet in their address: one there is not is refused before anything is saved.

    Raises: NotFound.
    """
    page_of(str(request.path_params.get("sheet", ORDER[0])))


def show(
    request: Request,
    office: Office,
    job_id: UUID,
    key: str,
    *,
    focus: str = "",
    saved: Saved[Any] = NOTHING_SENT,
) -> Response:
    """A sheet of a job as the answer: whole, or its part for htmx; a plain form that was saved is sent on."""
    page = page_of(key)
    view = sheet(office, job_id)
    early = first_call(office, view) if not view.job.zones and view.job.head.early else None
    context = {**common(view, page, early), "focus": focus, "saved": saved, **page.give(request, office, view, focus)}
    context["layout"] = "sheet_part.html" if wants_fragment(request) else "sheet.html"
    context["whole_step"] = last_step(office, view)
    context["away_marks"] = () if wants_fragment(request) else marks_of(office, view.opened)
    then = f"/jobs/{job_id}/{key}" + (f"?focus={focus}" if focus else "")
    context["again"] = again_of(request, view, saved, back=then)
    return answer(request, context, whole=page.template, part=page.template, status=saved.status, then=then)


async def show_saved(
    request: Request,
    office: Office,
    job_id: UUID,
    key: str,
    *,
    focus: str = "",
    saved: Saved[Any] = NOTHING_SENT,
) -> Response:
    """As `show`, once requests that have come meanwhile were read and have saved as well.

    What a sheet shows is worked out once for all that was saved by then: eight people who edit at once wait for one
    estimate, not for eight. Each answer shows the job as it then is, the others' edits beside its own.
    """
    for _ in range(TURNS):
        await asyncio.sleep(0)
    return show(request, office, job_id, key, focus=focus, saved=saved)


def common(view: Sheet, page: SheetPage, early: FirstCall | None = None) -> dict[str, Any]:
    """What every sheet of a job shows; `early` is the range of the first call while there is no zone."""
    return {
        "view": view,
        "job": view.job,
        "sheet": page.key,
        "sheet_title": page.title,
        "lit": page.part_of or page.key,
        "sheets": index(),
        "bar": svg(scale_bar_svg(bar_of(view, early))),
        "early_bar": early is not None,
        "open_count": view.open_count,
        "saved_at": view.saved_at,
        "undo": view.undo,
        "basis": view.basis,
        "estimate": view.estimate,
    }


def bar_of(view: Sheet, early: FirstCall | None = None) -> ScaleBar:
    """The scale bar's figures: a band or a point, never both; the early range stands there until a zone is drawn.

    While nothing is asked for there is neither: what comes with every job is no price for a caller.
    """
    head, worked = view.job.head, view.estimate
    firm = worked.firm_price_cents
    band = early.total if early and early.total else worked.range
    told = firm is None and is_anything_asked(view.job)
    return ScaleBar(
        low=band.low if told else None,
        high=band.high if told else None,
        firm=firm,
        budget_low=head.budget_low_cents,
        budget_high=head.budget_high_cents,
        missing=0 if not told else early.missing if early else worked.unpriced,
    )
