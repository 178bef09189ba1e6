"""The daily log for the office: hours and cost against the bid, the days, and corrections."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.job import PERCENTS
from app.services import daily_log, happenings
from app.services.field import BUILT
from app.services.office import Office
from app.services.sheets import Sheet, sheet
from app.web.access import OfficeHere
from app.web.forms.fields import order_of, read
from app.web.forms.log import DONE, WHERE
from app.web.forms.saving import save_form
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/log")
BY = ("task", "all", "zone", "phase")  # tasks with hours; all tasks; sums


@router.get("")
async def show_log(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The log."""
    return show(request, office, job_id, "log", focus=focus)


@router.post("/done")
async def say_done(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """How far a task is, as somebody at the office saw it."""
    form, view = await request.form(), sheet(office, job_id)
    parsed = read(form, (*DONE, *WHERE), office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: daily_log.say_done(
            office, view, parsed.values["at"], int(parsed.values["percent"]), order_of(form, "How far it is")
        ),
    )
    return show(request, office, job_id, "log", saved=saved)


def _give(request: Request, office: Office, view: Sheet, _focus: str) -> dict[str, Any]:
    by = request.query_params.get("by", "")
    log = daily_log.daily_log(office, view)
    names = {place.key: (place.letter, place.title) for place in log.places}
    phases = {str(one.id): f"{one.number} {one.title}".strip() for one in log.job.phases}
    beside = {"it": happenings.happenings(office, view), "is_built": view.job.head.stage in BUILT}
    return {
        **beside,
        "log": log,
        "by": by if by in BY else "task",
        "names": names,
        "phases": phases,
        "percents": PERCENTS,
    }


register(SheetPage(key="log", title="Daily log", template="log/page.html", give=_give, part_of="build"))
