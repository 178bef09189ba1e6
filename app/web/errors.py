"""Errors to answers, in one place: a sentence and a status, never a trace."""

import logging
from typing import NamedTuple
from urllib.parse import urlsplit

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from app.db.disk import ELSEWHERE, DatabaseBusy, DiskTrouble
from app.domain.devices import Face
from app.domain.errors import OutlayError, Stale
from app.services.jobs import saved_of
from app.web import refusals
from app.web.access import COMMANDS, SESSION
from app.web.faces import ShowsOther
from app.web.forms.fields.reading import as_uuid
from app.web.reached import read_cookie
from app.web.rendering import page, wants_fragment

log = logging.getLogger("outlay")

PLAIN = {
    404: "There is no such page. The sheets are listed along the foot; Home lists the jobs.",
    405: "That page cannot be used this way. Go back and try again.",
    413: "That is more than can be sent at once. Nothing was changed.",
}


UNSEEN = {"change_id", "follows", "version", "focus", "sheet", "stay", "back"}  # what a form carries by itself


FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
REFUSING = (404, 409, 422)  # what a change is refused with by what it says or by what is stored


SECRET = {"token", "passphrase", "passcode", "code", "current", "new", "again"}  # never shown again: typed anew


PAGES = {False: "error/page.html", True: "error/door.html"}  # to a stranger nothing of the firm


class Typed(NamedTuple):
    """What a plain form sent: where to, every field as sent, those a person typed, whether files were with it."""

    path: str
    sent: tuple[tuple[str, str], ...]
    seen: tuple[tuple[str, str], ...]
    files: bool


def install(app: FastAPI) -> None:
    """Map every error to one shape."""
    app.add_exception_handler(OutlayError, _ours)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _unexpected)


async def _ours(request: Request, wrong: Exception) -> Response:
    if isinstance(wrong, ShowsOther):
        refusals.note(request.scope, refusals.OTHER_FACE)
        return RedirectResponse(wrong.home, status_code=303)
    assert isinstance(wrong, OutlayError)
    if wrong.status in REFUSING and await _was_saved(request):
        return _shown_afresh(request)
    return _say(request, _for_whom(request, wrong), wrong.status, wrong)


async def _was_saved(request: Request) -> bool:
    """Whether what is refused was saved when it came first and its answer was lost: its thing may be gone since."""
    if request.method != "POST" or not request.headers.get("content-type", "").startswith(FORMS):
        return False
    named = as_uuid(str((await request.form()).get("change_id", "")))
    try:
        return named is not None and named in saved_of(request.app.state.office, [named])
    except OutlayError:
        return False


def _shown_afresh(request: Request) -> Response:
    """Nothing more to say than how it stands now: the page it was sent from, anew."""
    if wants_fragment(request):
        return Response(status_code=204, headers={"hx-refresh": "true"})
    return RedirectResponse(urlsplit(request.headers.get("referer", "")).path or "/", status_code=303)


def _for_whom(request: Request, wrong: OutlayError) -> str:
    """The sentence; of trouble with the laptop's disk strangers and clients hear only that there is some."""
    showing = getattr(request.state, "showing", None)
    outside = getattr(request.state, "stranger", False) or (showing is not None and showing.face is Face.CLIENT)
    of_a_folder = isinstance(wrong, DiskTrouble) and not isinstance(wrong, DatabaseBusy)
    return ELSEWHERE if outside and of_a_folder else wrong.sentence


async def _malformed(request: Request, _wrong: Exception) -> Response:
    return _say(request, "The address or the form sent does not read as it should. Nothing was changed.", 422)


async def _http(request: Request, wrong: Exception) -> Response:
    status = wrong.status_code if isinstance(wrong, HTTPException) else 400
    return _say(request, PLAIN.get(status, "That cannot be done."), status)


async def _unexpected(request: Request, wrong: Exception) -> Response:
    at = getattr(request.scope.get("route"), "path", "")
    log.error("unexpected error", extra={"at": at}, exc_info=wrong)
    return _say(request, "Something in the program went wrong. Nothing was changed; what you typed is still here.", 500)


def _say(request: Request, sentence: str, status: int, wrong: OutlayError | None = None) -> Response:
    if not hasattr(request.state, "session"):
        request.state.session = read_cookie(request, SESSION)
    if request.url.path.startswith(COMMANDS):
        return JSONResponse({"sentence": sentence}, status)
    stranger, typed = getattr(request.state, "stranger", False), _typed(request, status)
    if stranger and typed is None:
        return PlainTextResponse(sentence, status)
    stale = wrong if isinstance(wrong, Stale) else None
    template = "error/_sentence.html" if wants_fragment(request) else PAGES[stranger]
    values = {"sentence": sentence, "status": status, "stale": stale, "typed": typed}
    try:
        return page(request, template, values, status=status)
    except OutlayError:  # even the firm's name cannot be read
        return PlainTextResponse(sentence, status)


def _typed(request: Request, status: int) -> Typed | None:
    """What a plain form sent and the machine could not save: shown again, to be sent again under the same change id."""
    form = getattr(request.state, "typed", None)
    if status < 500 or form is None:
        return None
    sent = tuple((name, text) for name, text in form.multi_items() if isinstance(text, str) and name not in SECRET)
    seen = tuple((name.replace("_", " ").capitalize(), text) for name, text in sent if text and name not in UNSEEN)
    return Typed(request.url.path, sent, seen, files=any(not isinstance(one, str) for one in form.values()))
