"""Templates to answers: the same fragment is included by its page and returned alone."""

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any
from urllib.parse import quote
from uuid import uuid4
from zoneinfo import ZoneInfo

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment
from markupsafe import Markup

from app.documents.formats import Formats
from app.documents.pages import environment as template_environment
from app.domain.moments import day_at
from app.web.access import SESSION, token_for
from app.web.crew_language import language_of
from app.web.faces import asks_passcode, goes_back, is_ours, may_leave
from app.web.reached import keep_cookie, over_of

Context = Mapping[str, Any]


@lru_cache(maxsize=4)
def environment(folder: Path, language: str = "en") -> Environment:
    """The environment of pages: that of documents, with clock times at the site, and rows kept from edit to edit."""
    made = template_environment(folder, "jinja2.ext.do", "app.web.kept_markup.KeptMarkup", language=language)
    made.filters["local"] = local_time
    made.filters["on_clock"] = on_clock
    made.filters["day_at"] = day_at
    made.filters["listed"] = listed
    return made


def local_time(moment: str, zone: str = "America/New_York") -> str:
    """A recorded moment (ISO, UTC) as the clock time at the site.

    >>> local_time("2027-03-09T15:41:00+00:00")
    '10:41'
    """
    return datetime.fromisoformat(moment).astimezone(ZoneInfo(zone)).strftime("%H:%M") if moment else ""


def listed(options: Iterable[Iterable[Any]]) -> tuple[Any, ...]:
    """The options of a list as a value that markup can be kept by.

    >>> listed([["a", "First"], ["b", "Second"]])
    (('a', 'First'), ('b', 'Second'))
    """
    return options if isinstance(options, tuple) else tuple([tuple(one) for one in options])


def on_clock(moment: datetime | str, zone: str = "America/New_York") -> str:
    """A moment as day and clock time at the firm.

    >>> on_clock("2027-03-09T15:41:00+00:00")
    'March 9, 2027, 10:41'
    """
    at = datetime.fromisoformat(moment) if isinstance(moment, str) else moment
    return f"{at.astimezone(ZoneInfo(zone)):%B %-d, %Y, %H:%M}"


def render(request: Request, template: str, context: Context) -> str:
    """A template with what every page has: token, formats, a fresh change id, the request's face."""
    office = request.app.state.office
    firm = office.firm()
    language = context.get("language") or language_of(request)
    values = {
        "request": request,
        "firm": firm,
        "fmt": Formats(firm.system, firm.currency, language),
        "language": language,
        "csrf": token_for(office, request.state.session),
        "change_id": str(uuid4()),
        "ours": is_ours(request),
        "over": over_of(request.scope).value,
        "is_shared": request.app.state.sharing.share is not None,
        "goes_back": goes_back(request),
        "may_leave": may_leave(request),
        "asks_passcode": asks_passcode(request, office),
        "epoch": office.epoch,
        "static_version": request.app.state.static.version,
        **context,
    }
    return environment(office.settings.templates, language).get_template(template).render(values)


def page(request: Request, template: str, context: Context, *, status: int = 200) -> Response:
    """A whole page or a fragment as the answer."""
    return dressed(request, HTMLResponse(render(request, template, context), status_code=status))


def wants_fragment(request: Request) -> bool:
    """Whether htmx asks for a part of the page."""
    return request.headers.get("hx-request") == "true" and request.headers.get("hx-boosted") != "true"


def answer(request: Request, context: Context, *, whole: str, part: str, status: int = 200, then: str = "") -> Response:
    """Answer as asked: htmx gets the part, a plain form that was saved is sent on, everything else gets the page."""
    if wants_fragment(request):
        fragment = page(request, part, context, status=status)
        if status < 400 and then:
            fragment.headers["x-outlay-page"] = quote(then, safe="/?=&:%+")  # the address of what is now shown
        return fragment
    if request.method == "POST" and status < 400 and then:
        return _on(request, then)
    return page(request, whole, context, status=status)


def go(request: Request, path: str) -> Response:
    """Send the browser on to a page, with or without htmx."""
    if wants_fragment(request):
        return dressed(request, Response(status_code=204, headers={"HX-Redirect": path}))
    return _on(request, path)


def _on(request: Request, path: str) -> Response:
    """Sent on to a page; a form sent by script is told a `#place` on it, which the address of a redirect loses."""
    if request.headers.get("x-outlay-form") and "#" in path:
        return dressed(request, Response(status_code=204, headers={"x-outlay-page": quote(path, safe="/?=&:%+#")}))
    return dressed(request, RedirectResponse(path, status_code=303))


def dressed(request: Request, response: Response) -> Response:
    """An answer with what every one carries: it is kept nowhere, and a new device gets its session."""
    response.headers["vary"] = "HX-Request"
    response.headers["cache-control"] = "no-store"
    if getattr(request.state, "new_session", False):
        keep_cookie(request, response, SESSION, request.state.session)
    return response


NEVER = ("<script", "javascript:", "style=")
HANDLER = re.compile(r"\son\w+=")
# a handler has one of these before it; plain texts are looked for in a tenth of the time of a pattern
BEFORE = (" on", *(chr(one) for one in range(1, 0x3001) if chr(one).isspace() and chr(one) != " "))


def svg(markup: str) -> Markup:
    """A drawing made by us, trusted as markup; refuses what could run or reach out."""
    if any(one in markup for one in NEVER) or (any(one in markup for one in BEFORE) and HANDLER.search(markup)):
        raise ValueError("a drawing with script or inline style is never put on a page")
    return Markup(markup)  # noqa: S704 - made by app.documents, every text in it escaped there


def handed_out(request: Request, content: bytes, name: str, kind: str, *, keep: bool = False) -> Response:
    """A kept file as the answer, shown in the browser under a plain name; `keep`: kept by the device instead."""
    how = "attachment" if keep else "inline"
    answered = Response(content, media_type=kind, headers={"content-disposition": f'{how}; filename="{name}"'})
    return dressed(request, answered)
