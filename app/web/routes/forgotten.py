"""Nothing forgotten: what is asked of a job before its price is firm, each answered in one of three ways."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID, uuid4

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.job import ReminderAnswer, Reply
from app.services import forgotten
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, choice, order_of, read, text
from app.web.forms.saving import save_form
from app.web.sheet_pages import SheetPage, register, show

router = APIRouter(prefix="/jobs/{job_id}/forgotten")

ANSWER = (
    choice("reply", "Answer", [one.value for one in Reply], required=True),
    text("reason", "Why it is not needed", most=1_000),
    text("words", "What the client does", most=1_000),
)


@router.get("")
async def show_forgotten(request: Request, office: OfficeHere, job_id: UUID, focus: str = "") -> Response:
    """The list."""
    return show(request, office, job_id, "forgotten", focus=focus)


@router.post("/{key}/answer")
async def answer(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """Not needed, with the reason, or done by the client, in words."""
    form = await request.form()
    parsed = read(form, ANSWER, office.firm(), whole=True)
    saved = save_form(
        parsed,
        lambda: forgotten.answer(
            office, job_id, key, ReminderAnswer(id=uuid4(), reminder=key, **_typed(parsed)), order_of(form, "")
        ),
    )
    return show(request, office, job_id, "forgotten", focus=key[:80], saved=saved)


def _typed(parsed: Parsed) -> Mapping[str, Any]:
    return {**parsed.values, "reply": Reply(parsed.values["reply"])}


@router.post("/{key}/again")
async def ask_again(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """The answer taken back."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: forgotten.ask_again(office, job_id, key, order_of(form, "")))
    return show(request, office, job_id, "forgotten", focus=key[:80], saved=saved)


@router.post("/{key}/price")
async def price_it(request: Request, office: OfficeHere, job_id: UUID, key: str) -> Response:
    """The recipe that prices it added."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: forgotten.price_it(office, job_id, key, order_of(form, "")))
    return show(request, office, job_id, "forgotten", focus=key[:80], saved=saved)


def _give(_request: Request, office: Office, view: Sheet, _focus: str) -> Mapping[str, Any]:
    return {"it": forgotten.questions(office, view)}


register(
    SheetPage(
        key="forgotten", title="Nothing forgotten", template="forgotten/page.html", give=_give, part_of="estimate"
    )
)
