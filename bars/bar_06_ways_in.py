"""Ways in: every changing route is asked from a foreign page, without a page's token, without saying what was read.

The routes are found by asking the application. Each is asked properly as well: a route that refuses even that would
show nothing. A form that types over fields of a job's thing says at which version it read the thing; without it nothing
is typed over. Which routes type over something is seen by what they leave on the record, by the requests of
`tests/every_change`; those that may do so without a version are named with their reason.
"""

import tempfile
from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any
from uuid import uuid4

from app.db.repositories import record
from app.web.access import COMMANDS, FACE, command_mark
from bars import Figure
from bars.faulting import changing_routes, entries
from tests.every_change.change import Change
from tests.every_change.sending import Request, Sending
from tests.every_change.stock import Stock
from tests.every_change.table import CHANGES
from tests.stocked import begun_job, stocked_office
from tests.web.conftest import ORIGIN, Browser
from tests.web.test_every_page import filled, known_words

FOREIGN = (
    "http://evil.example",
    "null",
    "",
    "http://127.0.0.1:9999",
    "https://127.0.0.1:8137",
    f"{ORIGIN}.evil.example",
)
NO_TOKENS = ("", "wrong", "wr\xf6ng".encode("latin-1"))
FEW = 3  # every third route
OF_A_JOB = ("/jobs/", "/show/", "/field/")
OTHERS = ("Otherwise", "7", "3", "11 %")  # typed in place of what is in the table
STALE = 409
AS_IT_IS = "acts on what is there now, and types nothing over"
ADDS = "adds to a list, and leaves what is on it"
SHOWS_NONE = "shows no value of the thing that could be out of date"
NEEDS_NO_VERSION = {
    "/jobs/{job_id}/build/use-my-prices": AS_IT_IS,
    "/jobs/{job_id}/plan/work/{work_id}/start": AS_IT_IS,
    "/jobs/{job_id}/lights/take": AS_IT_IS,
    "/jobs/{job_id}/beds/drip/{way_id}": AS_IT_IS,
    "/jobs/{job_id}/plan/shape/zone/{thing_id}/join": AS_IT_IS,
    "/jobs/{job_id}/plan/shape/all/place": AS_IT_IS,
    "/jobs/{job_id}/plan/zone/{zone_id}/edge/steps": AS_IT_IS,
    "/jobs/{job_id}/{sheet}/newer-edition": AS_IT_IS,
    "/jobs/{job_id}/phases/phase/{phase_id}/move": AS_IT_IS,
    "/jobs/{job_id}/tape/mark/{mark_id}/remove": AS_IT_IS,
    "/jobs/{job_id}/tape/level_setup/{setup_id}/remove": AS_IT_IS,
    "/jobs/{job_id}/tape/level_setup/{setup_id}/rod": ADDS,
    "/jobs/{job_id}/subs/quote/{quote_id}/paper": ADDS,
    "/jobs/{job_id}/site/setbacks-of/{other_id}": ADDS,
    "/field/{job_id}/note": ADDS,
    "/jobs/{job_id}/after/punch/{item_id}/accepted": SHOWS_NONE,
    "/jobs/{job_id}/after/hand-over/photo": SHOWS_NONE,
    "/jobs/{job_id}/price/tax/work": SHOWS_NONE,
    "/jobs/{job_id}/subs/quote/{quote_id}/scope": SHOWS_NONE,
    "/jobs/{job_id}/subs/quote/{quote_id}/accept": SHOWS_NONE,
    "/jobs/{job_id}/choices/option/{option_id}/tick": SHOWS_NONE,
    "/jobs/{job_id}/choices/package/{package_id}/take": SHOWS_NONE,
    "/jobs/{job_id}/choices/best/take": SHOWS_NONE,
    "/show/{job_id}/options/{option_id}": SHOWS_NONE,
    "/show/{job_id}/packages/{package_id}": SHOWS_NONE,
}
REFUSED = 403


class Asker:
    """Sends each changing route what a page would send, but for one thing."""

    def __init__(self, web: Browser, words: Mapping[str, str]) -> None:
        self.web = web
        self.paths = {str(one.path): filled(one.path, words) for one in changing_routes(web.client.app)}

    def status(self, path: str, headers: Mapping[str, Any], form: Mapping[str, str] | None = None) -> int:
        """What a route answers."""
        if path.startswith(COMMANDS):  # in place of a page's token goes a mark
            mark = command_mark(self.web.office.settings, uuid4())
            headers = {
                "x-outlay-command": headers.get("x-outlay-token", mark),
                **headers,
            }
        return self.web.post(path, dict(form or {}), headers=dict(headers)).status_code

    def not_refusing(self, *ways: Mapping[str, Any]) -> list[str]:
        """The routes that answered any of these requests with something else than a refusal."""
        return [route for route, path in self.paths.items() if any(self.status(path, way) != REFUSED for way in ways)]

    def from_elsewhere(self) -> list[str]:
        """The routes that take what another page sent."""
        return self.not_refusing(*({"origin": origin} for origin in FOREIGN))

    def without_token(self) -> list[str]:
        """The routes that take what carries no token, or another."""
        return self.not_refusing(*({"x-outlay-token": token} for token in NO_TOKENS))

    def refusing_all(self) -> list[str]:
        """The routes that refuse what is asked properly, so that their refusals show nothing."""
        shut = []
        for route, path in self.paths.items():
            shut += [route] * (self.status(path, {}) == REFUSED)
            self.web.client.cookies.delete(FACE)  # one of them turns to the client's face
        return shut


def fields_typed_over(sending: Sending, request: Request) -> set[tuple[str, str]]:
    """Send it; the fields it changed, each with the thing that was there."""
    answer = request.sent()
    sending.client("here").cookies.delete(FACE)
    if answer.status_code == STALE:
        raise ToldApart
    with sending.stock.office.database.read() as connection:
        entry = record.find(connection, str(request.form["change_id"]))
    edits = entry.change().edits if entry and entry.kind == "change" else ()
    changed = [edit for edit in edits if edit.before is not None]
    return {(edit.thing_id, name) for edit in changed for name in edit.after or ()}


class ToldApart(Exception):
    """The answer says that somebody changed it meanwhile."""


def takes_unread(sending: Sending, change: Change) -> bool | None:
    """Whether a route types over what was just changed, when it is not said what was read; None: nothing to try."""
    request = sending.of(change)
    theirs = fields_typed_over(sending, request)
    unsaid = {name: value for name, value in request.form.items() if name != "version"}
    for name, other in product(sorted(unsaid.keys() - {"change_id"}) if theirs else (), OTHERS):
        mine = replace(request, form={**unsaid, name: other, "change_id": str(uuid4())})
        try:
            if other != unsaid[name] and fields_typed_over(sending, mine) & theirs:
                return True
        except ToldApart:
            return False
    return None


def without_version(few: bool) -> tuple[list[str], list[str]]:
    """The routes that type over what they did not say to have read, and those that were seen not to."""
    of_a_job = [one for one in CHANGES if one.route.startswith(OF_A_JOB) and one.route not in NEEDS_NO_VERSION]
    with tempfile.TemporaryDirectory() as folder, Sending(Stock(Path(folder))) as sending:
        found = {change.route: takes_unread(sending, change) for change in (of_a_job[::FEW] if few else of_a_job)}
    return [one for one, taken in found.items() if taken], [one for one, taken in found.items() if taken is False]


def measure(few: bool) -> tuple[Figure, ...]:
    """Changing routes that take what they should refuse."""
    with tempfile.TemporaryDirectory() as folder:
        office = stocked_office(Path(folder) / "data")
        job_id = begun_job(office)
        before, web = entries(office), Browser(office)
        asker = Asker(web, known_words(office, job_id))
        if few:
            asker.paths = dict(list(asker.paths.items())[::FEW])
        with web.client:
            elsewhere, tokenless = asker.from_elsewhere(), asker.without_token()
            saved = entries(office) - before
            shut = asker.refusing_all()
        office.database.close()
    blind, seeing = without_version(few)
    of = f"of {len(asker.paths)} routes"
    return (
        Figure(
            what="changing routes that take another Origin", value=len(elsewhere), limit=0, note=told(of, elsewhere)
        ),
        Figure(what="changing routes that take no token", value=len(tokenless), limit=0, note=told(of, tokenless)),
        Figure(
            what="routes that type over a job's fields without a version",
            value=len(blind),
            limit=0,
            note=told(f"{len(seeing)} routes say that it was changed meanwhile", blind),
        ),
        Figure(what="saved by any of these", value=saved, limit=0, note=of),
        Figure(what="routes that refuse what is asked properly", value=len(shut), limit=0, note=told(of, shut)),
    )


def told(of: str, routes: list[str]) -> str:
    """How many were asked, and the first of those found."""
    return ", ".join([of, *routes[:5]])
