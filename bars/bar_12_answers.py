"""Answers given before the commit: every changing route while the database cannot commit.

The routes are found by asking the application; the requests are those of `tests/every_change`, sent as plain forms.
Each meets a disk that is full, a disk that fails, and a database that another program holds. It must then be answered
with 503 and a sentence, with what was typed (to htmx the sentence alone: the form stands), and nothing is saved; the
form of that answer, sent again once the database can commit, is taken. In another office each commits, and no disk
takes it: that must not be acknowledged. A line of the table that keeps nothing says why, and may not try to commit.
"""

import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import unescape
from pathlib import Path

import httpx2 as httpx

from app.web.errors import SECRET
from bars import Figure
from bars.faulting import FAULTS, Watched, changing_routes, unflushed
from tests.every_change.change import Change
from tests.every_change.sending import Request, Sending, is_taken
from tests.every_change.stock import Stock
from tests.every_change.table import CHANGES

FEW = 8  # every so many routes with a disk that takes nothing
TROUBLE = 503
SAID = "Nothing was changed"  # part of each sentence of a database that cannot save
HIDDEN = re.compile(r'<input type="hidden" name="([^"]*)" value="([^"]*)">')
WAYS = ("success", "saved", "otherwise", "lost", "refused later", "not reached")


@dataclass
class Seen:
    """What did not hold: by way, the routes."""

    wrong: dict[str, list[str]] = field(default_factory=lambda: {way: [] for way in WAYS})
    faulted: int = 0

    def note(self, way: str, change: Change) -> None:
        """A route with which something did not hold."""
        if change.route not in self.wrong[way]:
            self.wrong[way].append(change.route)


def tried_out(sending: Sending, change: Change, faults: Sequence[str], seen: Seen) -> None:
    """A request with faults, then as it is sent again."""
    request = plain(sending.of(change))
    watched = Watched(sending.stock.office)
    again = request.form
    for fault in faults:
        before = watched.version()
        with FAULTS[fault](sending.stock.office) as tried:
            answer = request.sent()
            if fault == faults[0] and tried and not request.body and not is_refused_part(request):
                seen.note("otherwise", change)
        seen.faulted += len(tried) > 0
        if bool(tried) == bool(change.keeps_nothing):
            seen.note("not reached", change)
        if watched.version() != before:
            seen.note("saved", change)
        if tried:
            again = kept(request, answer)
            for way in faulty(request, answer, again):
                seen.note(way, change)
    watched.close()
    if not is_taken(request.sent(form=again if can_be_sent(request, again) else request.form)):
        seen.note("refused later", change)


def is_refused_part(request: Request) -> bool:
    """Whether the same, sent by htmx, is refused in a sentence that takes no form's place."""
    answer = request.sent(headers={**request.headers, "hx-request": "true"})
    return answer.status_code == TROUBLE and "data-said" in answer.text and SAID in unescape(answer.text)


def before_the_disk(changes: Sequence[Change]) -> tuple[int, list[str]]:
    """How many requests committed what no disk took, and the routes that acknowledged it."""
    committed, early = 0, []
    with tempfile.TemporaryDirectory() as folder, Sending(Stock(Path(folder))) as sending:
        for change in changes:
            request = sending.of(change)
            with unflushed(sending.stock.office) as tried:
                answer = request.sent()
            committed += bool(tried)
            if tried and is_taken(answer):
                early.append(change.route)
    return committed, early


def plain(request: Request) -> Request:
    """As a form without script sends it: the token stands in it."""
    token = request.headers.pop("x-outlay-token", "")
    if token:
        request.form["token"] = token
    return request


def kept(request: Request, answer: httpx.Response) -> dict[str, str | list[str]]:
    """The form that the answer holds, to be sent again."""
    found: dict[str, str | list[str]] = {}
    for name, text in HIDDEN.findall(answer.text):
        found[name] = [*listed(found.get(name)), unescape(text)]
    return found if request.form.keys() & found.keys() else {}


def can_be_sent(request: Request, again: Mapping[str, str | list[str]]) -> bool:
    """Whether the form of an answer is whole by itself: files and secrets are given anew."""
    return bool(again) and not request.file and not SECRET - {"token"} & request.form.keys()


def faulty(request: Request, answer: httpx.Response, again: Mapping[str, str | list[str]]) -> Iterator[str]:
    """In which ways an answer to what could not be saved is not as it must be."""
    if is_taken(answer):
        yield "success"
    if answer.status_code != TROUBLE or SAID not in unescape(answer.text):
        yield "otherwise"
    if not request.body and any(
        listed(again.get(name)) != listed(text) for name, text in request.form.items() if name not in SECRET
    ):
        yield "lost"


def listed(text: str | list[str] | None) -> list[str]:
    """What a field was sent as, once or several times."""
    return text if isinstance(text, list) else [] if text is None else [text]


def measure(few: bool) -> tuple[Figure, ...]:
    """Every changing route; with `few` each with one fault, and without those that wait for a worker."""
    changes = [one for one in CHANGES if not (few and one.slow)]
    kinds, seen = list(FAULTS), Seen()
    with tempfile.TemporaryDirectory() as folder, Sending(Stock(Path(folder))) as sending:
        for at, change in enumerate(changes):
            once = few or change.slow
            tried_out(sending, change, [kinds[at % len(kinds)]] if once else kinds, seen)
        for route in {str(one.path) for one in changing_routes(sending.app)} - {one.route for one in CHANGES}:
            seen.note("not reached", Change(route=route))
    what = {
        "success": "answers of success before the commit",
        "saved": "changes saved without a commit that held",
        "otherwise": "failed commits answered otherwise than in a sentence (503)",
        "lost": "forms whose text was lost at a failed commit",
        "refused later": "forms refused once the database can commit",
        "not reached": "changing routes not brought to a commit",
    }
    committed, early = before_the_disk([one for one in changes if not one.slow][:: FEW if few else 1])
    note = f"{seen.faulted} failed commits of {len(changes)} routes"
    figures = [
        Figure(what=words, value=len(seen.wrong[way]), limit=0, note=", ".join(seen.wrong[way]) or note)
        for way, words in what.items()
    ]
    note = ", ".join(early) or f"{committed} commits that did not reach the disk"
    return (*figures, Figure(what="answers of success before the disk has it", value=len(early), limit=0, note=note))
