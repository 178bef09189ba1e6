"""What the pages ask for from elsewhere, and what breaks their content policy: 0, in Chromium on every page.

Every page of the demo that a link leads to, our face and the client's, is opened in a real browser and left to its
scripts. All requests are seen, whether page, script or style makes them; of its policy the browser tells itself. Pages
of which there are many alike are opened a few times each. At last one fault of each kind is planted, to be noticed.
"""

import re
import tempfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from playwright.sync_api import BrowserContext, ConsoleMessage, Error, Page, sync_playwright

from app.main import create_app
from app.web.routes.show import PAGES as SHOWN
from bars import Figure
from bars.faulting import all_routes
from bars.forms import Walk
from bars.saving import opened
from tests.browser.conftest import CHROMIUM, QUIET, touch_context
from tests.served import serving

PAGES, FEW = 150, 10
FIRST = ("/", "/field", "/unsent", "/pair", "/trust")  # and what their links lead to
POLICY = "Content Security Policy"
OWN = ("data:", "blob:")  # made by the page itself
PLANTED = """() => {
  document.body.append(Object.assign(new Image(), { src: 'https://elsewhere.example/seen.png' }));
  document.body.append(Object.assign(document.createElement('script'), { textContent: 'window.ran = true' }));
}"""


class Watch:
    """What the pages of a browser's context ask for from elsewhere, and what their policy stopped, as it comes."""

    def __init__(self, context: BrowserContext, address: str) -> None:
        self.address = address
        self.foreign: list[str] = []
        self.against_policy: list[str] = []
        context.on("request", lambda one: self._asked(one.url))
        context.on("console", self._told)

    def _asked(self, url: str) -> None:
        if not url.startswith((f"{self.address}/", *OWN)):
            self.foreign.append(url)

    def _told(self, message: ConsoleMessage) -> None:
        if POLICY in message.text:
            self.against_policy.append(f"{message.page.url if message.page else ''} {message.text}")


def read(page: Page, address: str, path: str) -> Any:
    """A page, opened and left to its scripts; what is no page is fetched as its link would be."""
    try:
        answer = page.goto(address + path, wait_until="load")
        page.wait_for_timeout(150)
        kind = answer.headers.get("content-type", "") if answer else ""
        return SimpleNamespace(headers={"content-type": kind}, text=page.content())
    except Error as wrong:
        if not re.search("Download is starting|ERR_ABORTED", str(wrong)):
            raise
        return SimpleNamespace(headers={}, text="")


def jobs_of(walk: Walk) -> list[str]:
    """The ids of the jobs that were met."""
    return [path.split("/")[2] for path in walk.addresses.get("GET /jobs/{job_id}/plan", ())]


def measure(few: bool) -> tuple[Figure, ...]:
    """Requests to elsewhere and violations of the policy; whether planted ones are noticed."""
    with tempfile.TemporaryDirectory() as folder:
        office = opened(Path(folder) / "routes")
        routes = all_routes(create_app(office))
        office.database.close()
        with serving(Path(folder) / "data", demo=True) as server, sync_playwright() as started:
            browser = started.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
            context = touch_context(browser, "laptop")
            watch, page, looked = Watch(context, server.address), context.new_page(), []
            page.on("load", lambda one: looked.append(one.url))
            walk = Walk(routes, lambda path: read(page, server.address, path), FEW if few else PAGES).go(*FIRST)
            walk.go(*(f"/show/{job}/{key}" for job in jobs_of(walk) for key, _ in SHOWN))
            foreign, against = list(watch.foreign), list(watch.against_policy)
            page.goto(server.address)
            page.evaluate(PLANTED)
            page.wait_for_timeout(500)
            planted = len(watch.against_policy) - len(against)
            browser.close()
    of = f"on {len(looked)} pages"
    return (
        Figure(what="requests to elsewhere", value=len(foreign), limit=0, note=", ".join([of, *foreign[:3]])),
        Figure(what="breaches of the content policy", value=len(against), limit=0, note=", ".join([of, *against[:3]])),
        Figure(what="planted faults noticed", value=planted, limit=2, at_least=True, note="a picture, a script"),
    )
