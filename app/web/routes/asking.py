"""The firm's list of what is easily forgotten: questions of its own, shipped ones reworded or not asked."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import asking
from app.services.office import Office
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, order_of, read, text, version_of
from app.web.forms.saving import Saved, save_form
from app.web.leaf_pages import leaf
from app.web.sheet_pages import NOTHING_SENT

router = APIRouter(prefix="/library/questions")
HERE = "/library/questions"
WORDS = (
    text("title", "What it is", required=True, most=80),
    text("question", "The question", required=True, most=400),
    text("exclusion", "As the proposal says it", most=400),
    text("own_reason", "Why", most=400),
)
NEW = (
    *WORDS,
    text("group", "Listed under", required=True, most=60),
    text("when", "Asked where"),
    text("prices", "What prices it"),
)
REASON = (text("left_out", "Why it is not asked", most=400),)


def _page(request: Request, office: Office, focus: str = "", saved: Saved[Any] = NOTHING_SENT) -> Response:
    found = asking.all_asked(office)
    context = {"it": found, "focus": focus}
    return leaf(request, office, "library/questions.html", context, versions=found.own, back=HERE, saved=saved)


@router.get("")
async def show_questions(request: Request, office: OfficeHere) -> Response:
    """All questions, by group."""
    return _page(request, office)


@router.post("/new")
async def add(request: Request, office: OfficeHere) -> Response:
    """A question of the firm's own."""
    form = await request.form()
    parsed = read(form, NEW, office.firm(), whole=True)
    saved = save_form(parsed, lambda: asking.add(office, parsed.values, order_of(form, "")))
    return _page(request, office, str(saved.result) if saved.ok else "new", saved)


@router.post("/{key}/words")
async def reword(request: Request, office: OfficeHere, key: str) -> Response:
    """A question in the firm's own words, with the reason."""
    form = await request.form()
    parsed = read(form, WORDS, office.firm(), whole=True)
    order, version = order_of(form, ""), version_of(form)
    return _page(
        request, office, key, save_form(parsed, lambda: asking.reword(office, key, version, parsed.values, order))
    )


@router.post("/{key}/leave-out")
async def leave_out(request: Request, office: OfficeHere, key: str) -> Response:
    """A question that is not asked any more, with the reason."""
    form = await request.form()
    parsed = read(form, REASON, office.firm(), whole=True)
    reason, order, version = parsed.values.get("left_out", ""), order_of(form, ""), version_of(form)
    return _page(request, office, key, save_form(parsed, lambda: asking.leave_out(office, key, version, reason, order)))


@router.post("/{key}/ask-again")
async def ask_again(request: Request, office: OfficeHere, key: str) -> Response:
    """A question asked again."""
    form = await request.form()
    order, version = order_of(form, ""), version_of(form)
    return _page(request, office, key, save_form(Parsed(), lambda: asking.switch(office, key, version, "", order)))


@router.post("/{key}/shipped")
async def as_shipped(request: Request, office: OfficeHere, key: str) -> Response:
    """The shipped question again; one of the firm's own goes."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: asking.as_shipped(office, key, order_of(form, "")))
    return _page(request, office, key, saved)
