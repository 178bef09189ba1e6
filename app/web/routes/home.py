"""Home: the list of jobs, a new caller, undo."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import jobs
from app.services.backup_folder import in_danger
from app.services.home import home, wants_first_run
from app.services.jobs import NewJob
from app.services.office import Office
from app.services.receivables import overdue
from app.services.supply_due import late_orders
from app.services.takings import marks
from app.services.warranty import due, waiting_clients
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read, text
from app.web.forms.saving import Saved, save_form
from app.web.forms.things import STAGES
from app.web.rendering import go, page

router = APIRouter()

CALLER = (
    text("name", "Name", required=True),
    text("phone", "Phone"),
    text("email", "Email"),
    text("street", "Street"),
    text("town", "Town"),
    text("title", "What it is about"),
    text("found_us", "How they found us"),
)


@router.get("/")
async def show_home(
    request: Request, office: OfficeHere, search: str = "", closed: bool = False, at: int = 0, later: bool = False
) -> Response:
    """The list of jobs; a firm nobody has named yet is walked through its first settings."""
    if wants_first_run(office) and not later:
        return go(request, "/firm/first")
    listed = home(office, search=search[:100], closed=closed, page=max(0, min(at, 10_000)))
    context = {"home": listed, "stages": STAGES, "typed": {}, "errors": {}, **_of_all(office)}
    return page(request, "home/page.html", context)


def home_again(request: Request, office: Office, saved: Saved[Any]) -> Response:
    """Home with a form that was not taken, and the sentences that say why."""
    context = {"home": home(office), "stages": STAGES, "typed": saved.form.typed, "errors": saved.form.errors}
    return page(request, "home/page.html", {**context, **_of_all(office)}, status=saved.status)


def _of_all(office: Office) -> dict[str, Any]:
    """What Home says of all jobs: data in danger, jobs that are away, invoices and orders past their day, visits."""
    return {
        "in_danger": in_danger(office),
        "away": marks(office),
        "overdue_money": overdue(office),
        "late_orders": late_orders(office),
        "visits": due(office),
        "asked": waiting_clients(office),
    }


@router.post("/jobs")
async def new_job(request: Request, office: OfficeHere) -> Response:
    """A new caller."""
    form = await request.form()
    parsed = read(form, CALLER, office.firm(), whole=True)
    saved = save_form(parsed, lambda: jobs.begin_job(office, NewJob(**parsed.values), order_of(form, "New caller")))
    if saved.ok:
        return go(request, f"/jobs/{saved.result}/client")
    return home_again(request, office, saved)
