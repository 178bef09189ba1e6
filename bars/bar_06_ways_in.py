"""Ways in: every changing route is asked from a foreign page, and without a page's token.

The routes are found by asking the application. Each is asked properly as well: a route that refuses even that would
show nothing.
"""

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from uuid import uuid4

from app.web.access import COMMANDS, FACE, command_mark
from bars import Figure
from bars.faulting import changing_routes, entries
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
    of = f"of {len(asker.paths)} routes"
    return (
        Figure(
            what="changing routes that take another Origin", value=len(elsewhere), limit=0, note=told(of, elsewhere)
        ),
        Figure(what="changing routes that take no token", value=len(tokenless), limit=0, note=told(of, tokenless)),
        Figure(what="saved by any of these", value=saved, limit=0, note=of),
        Figure(what="routes that refuse what is asked properly", value=len(shut), limit=0, note=told(of, shut)),
    )


def told(of: str, routes: list[str]) -> str:
    """How many were asked, and the first of those found."""
    return ", ".join([of, *routes[:5]])
