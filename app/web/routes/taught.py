"""What finished jobs taught of hours: the list, one task with its jobs, what it would move, and taking it."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import kept_papers, taught
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, text, version_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.rendering import handed_out, page, wants_fragment
from app.web.routes.why import firm_why
from app.web.sheet_pages import NOTHING_SENT

HERE = "/firm/taught"
router = APIRouter(prefix=HERE)
TAKEN = (text("mark", "What was shown", most=40),)


@router.get("")
async def show_taught(request: Request, office: OfficeHere) -> Response:
    """All tasks that finished jobs tell of."""
    reading = await kept_papers.caught_up(office)
    it = taught.taught(office)
    context = {"it": it, "reading": reading, "here": "taught"}
    return leaf(request, office, "taught/page.html", context, versions=it.own, back=HERE)


@router.get("/table.csv")
async def taught_table(request: Request, office: OfficeHere) -> Response:
    """The same as a table, job by job."""
    return handed_out(request, taught.table(office), "hours-from-own-jobs.csv", "text/csv")


@router.get("/why/{figure}")
async def show_why(request: Request, office: OfficeHere, figure: str) -> Response:
    """Where a figure comes from: beside it, or as a page of its own without script."""
    return firm_why(request, office, taught.explained(office, figure[:120]), HERE)


@router.get("/{key}")
async def show_task(request: Request, office: OfficeHere, key: str) -> Response:
    """One task."""
    return _task(request, office, key)


@router.get("/{key}/drafts")
async def show_drafts(request: Request, office: OfficeHere, key: str) -> Response:
    """What open drafts would change by."""
    _, one = taught.lesson_of(office, key)
    context = {
        "title": one.task.title,
        "back": f"{HERE}/{key}",
        "moved": await taught.moved_by(office, {key: one.after}),
    }
    return page(request, "taught/_drafts.html" if wants_fragment(request) else "taught/drafts.html", context)


@router.post("/{key}")
async def take(request: Request, office: OfficeHere, key: str) -> Response:
    """What was shown becomes the firm's own, in one change that can be undone."""
    form = await request.form()
    parsed = read(form, TAKEN, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: taught.take(office, key, version_of(form), parsed.values["mark"], order_of(form, ""))
    )
    return _task(request, office, key, saved)


def _task(request: Request, office: Office, key: str, saved: Saved[Any] = NOTHING_SENT) -> Response:
    it, one = taught.lesson_of(office, key)
    context = {"it": it, "one": one}
    return leaf(request, office, "taught/task.html", context, versions=it.own, back=f"{HERE}/{key}", saved=saved)
