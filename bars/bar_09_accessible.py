"""Faults that a reader or a keyboard meets (axe), and targets smaller than a finger, on every page of every face.

Every page of the demo that a link leads to, on our face, on the client's, on the phone in the yard, before pairing; at
three sizes with touch; everything folded is opened. Of pages that are many alike (explanations, recipes) a few are
looked at.
"""

import re
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx2 as httpx
from playwright.sync_api import Browser, Page, sync_playwright

from bars import Figure, going_on
from tests.browser.conftest import CHROMIUM, QUIET, SIZES, touch_context
from tests.browser.test_accessible import FINGER, SHOWN, SMALL, faults
from tests.served import serving
from tests.web.test_every_page import links

ALIKE = 2  # pages of a kind that are looked at
OPEN_ALL = "document.querySelectorAll('details').forEach(one => { one.open = true; })"
DOORS = ("/pair", "/trust/")
FEW = 4  # pages of each face
ID = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}")


@dataclass
class Found:
    """What was met, and on how many pages and sizes it was looked for."""

    axe: list[str] = field(default_factory=list)
    small: list[str] = field(default_factory=list)
    looks: int = 0


def kind_of(path: str) -> str:
    """Pages of which there are many alike go by a common name."""
    plain, _, query = path.partition("?")
    named = re.sub(
        r"(/library/\w+|/machine|/history|/worksheet/\w+|/packet|/crew)/[\w.-]+", r"\1/*", ID.sub("*", plain)
    )
    return re.sub(r"/why/.*", "/why", named) + ("?" + re.sub(r"=[^&]*", "", query) if query else "")


def pages_of(address: str, *, few: bool) -> list[str]:
    """Every page of ours that a link leads to, from home and from the yard."""
    kinds: Counter[str] = Counter()
    waiting, seen = ["/", "/field"], set[str]()
    found: list[str] = []
    with httpx.Client(base_url=address, timeout=60, follow_redirects=True) as client:
        while waiting and not (few and len(found) >= FEW):
            path = waiting.pop(0)
            if path in seen or path.startswith("/show/") or kinds[kind_of(path)] >= ALIKE:
                continue
            seen.add(path)
            kinds[kind_of(path)] += 1
            answer = client.get(path)
            if answer.status_code == 200 and answer.headers["content-type"].startswith("text/html"):
                found.append(path)
                waiting += sorted(links(answer.text) - seen)
    return found


def look(page: Page, address: str, path: str, found: Found, size: str) -> None:
    """Open a page, unfold it, and note what does not hold."""
    answer = page.goto(address + path)
    if answer is None or not answer.ok:
        raise RuntimeError(f"{path} was answered with {answer and answer.status}")
    page.evaluate(OPEN_ALL)
    found.looks += 1
    found.axe += [f"{size} {path}: {one}" for one in faults(page)]
    found.small += [f"{size} {path}: {one}" for one in page.evaluate(SMALL, FINGER)]


@contextmanager
def clients_face(page: Page, address: str, job: str) -> Iterator[None]:
    """Until the block ends the device shows the client's face."""
    page.goto(f"{address}{job}/face")
    with page.expect_navigation():
        page.get_by_role("button", name="Show the client's face").tap()
    yield
    with page.expect_navigation():
        page.get_by_role("button", name="Back to ours").tap()


def look_at_all(browser: Browser, address: str, found: Found, *, few: bool) -> None:
    """Every page at every size, ours and the yard's first, then each job as its client sees it."""
    pages = pages_of(address, few=few)
    jobs = sorted({match[0] for path in pages if (match := re.match(r"/jobs/[0-9a-f-]{36}", path))})
    for size in ["phone"] if few else SIZES:
        context = touch_context(browser, size)
        page = context.new_page()
        for number, path in enumerate((*pages, *DOORS)):
            going_on(number, len(pages) + len(DOORS), f"pages on a {size}")
            look(page, address, path, found, size)
        for job in jobs[:1] if few else jobs:
            with clients_face(page, address, job):
                for key in SHOWN:
                    look(page, address, f"{job.replace('/jobs/', '/show/')}/{key}", found, size)
        context.close()


def measure(few: bool) -> tuple[Figure, ...]:
    """Faults and small targets; the first of each is named."""
    found = Found()
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(Path(folder) / "data", demo=True) as server,
        sync_playwright() as play,
    ):
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        look_at_all(browser, server.address, found, few=few)
        browser.close()
    looks = f"{found.looks} looks at pages"
    return (
        Figure(what="axe violations", value=len(found.axe), limit=0, note="; ".join([looks, *found.axe[:3]])),
        Figure(what=f"targets under {FINGER} px", value=len(found.small), limit=0, note="; ".join(found.small[:5])),
    )
