"""Every page of the demo, on two screens: no accessibility fault, nothing too small for a finger, nothing from elsewhere."""

import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from bars.bar_10_from_elsewhere import Watch
from tests.browser.conftest import touch_context
from tests.served import Server

pytestmark = [pytest.mark.browser, pytest.mark.slow]
SHEETS = ("client", "site", "tape", "plan", "seen", "palette", "checks", "estimate", "phases", "proposal", "build")
BESIDE = ("price", "forgotten", "choices", "compare", "past", "history", "log")  # pages that a sheet leads to
OF_FIRM = (
    "/",
    "/field",
    "/unsent",
    "/firm",
    "/firm/worksheet/overhead",
    "/firm/worksheet/labor_class/crew",
    "/prices",
    "/library",
    "/quick-math/light-circuit",
)
SHOWN = ("plan", "places", "palette", "seen", "phases", "options", "proposal")
FINGER = 44  # CSS px; WCAG 2.2 success criterion 2.5.5, target size (enhanced)
SMALL = """least => [...document.querySelectorAll(
  'a[href], button, select, input:not([type=hidden]), summary, textarea, [role=button]')].flatMap(one => {
  const shown = one.closest('label') && ['radio', 'checkbox', 'file'].includes(one.type) ? one.closest('label') : one;
  const box = shown.getBoundingClientRect(), style = getComputedStyle(shown);
  if (!box.width || !box.height || style.visibility === 'hidden' || !shown.checkVisibility()) return [];
  if (box.bottom < 0 || box.left < -500 || one.classList.contains('skip')) return [];
  if (one.matches('a[data-edge][aria-hidden]')) return []; // a line of the drawing: met from beside it, and from the margin
  const inText = one.tagName === 'A' && one.closest('p, li, td, th, dd, small, .hint') && style.display === 'inline';
  if (inText || box.height >= least - 0.5 && box.width >= least - 0.5) return [];
  return [`${one.tagName.toLowerCase()} ${(one.innerText || one.ariaLabel || one.name || '').trim().slice(0, 30)}: ${Math.round(box.width)} x ${Math.round(box.height)}`];
})"""


@pytest.fixture(scope="module", params=["laptop", "phone"])
def screen(request: pytest.FixtureRequest, chromium: Browser, demo_server: Server) -> Iterator[Page]:
    """A touch screen at the demo; what is fetched from elsewhere or refused by the policy fails at the end."""
    context = touch_context(chromium, request.param)
    page = context.new_page()
    wrong: list[str] = []

    def complain(kind: str, text: str) -> None:
        if kind in {"error", "warning"} and "registration blocked" not in text:  # the worker is blocked by this context
            wrong.append(f"{page.url}: {text}")

    page.on("console", lambda one: complain(one.type, one.text))
    page.on("pageerror", lambda error: wrong.append(f"{page.url}: {error}"))
    watch = Watch(context, demo_server.address)
    page.goto(demo_server.address + "/")
    yield page
    context.close()
    assert wrong + watch.foreign == []


@pytest.fixture(scope="module")
def job(screen: Page, demo_server: Server) -> str:
    """The address of the demo's signed job."""
    href = screen.locator('a[href^="/jobs/"]', has_text="Whitlock").first.get_attribute("href")
    assert href
    return demo_server.address + "/".join(href.split("/")[:3])


def faults(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']}: {node['target'][0]} {node['failureSummary'].splitlines()[-1].strip()}"
        for one in found
        for node in one["nodes"][:3]
    ]


def ours(page: Page, job: str) -> list[str]:
    address = job.rsplit("/jobs/", 1)[0]
    first = [address + path for path in OF_FIRM]
    more = []
    for sheet in ("estimate", "plan"):
        page.goto(f"{job}/{sheet}")
        found = page.locator("a[href]").evaluate_all("all => all.map(one => one.getAttribute('href'))")
        more += [address + href for href in found if re.search("^/jobs.*(/why/|focus=zone:[0-9a-f])", href)][:1]
    return [*first, *[f"{job}/{sheet}" for sheet in (*SHEETS, *BESIDE)], *more]


def test_our_pages_have_no_fault_a_reader_or_a_keyboard_would_meet(screen: Page, job: str) -> None:
    wrong = []
    for path in ours(screen, job):
        answer = screen.goto(path)
        assert answer, path
        assert answer.ok, path
        wrong += [f"{path.removeprefix(job)} {fault}" for fault in faults(screen)]
    assert wrong == []


def test_targets_at_the_table_are_as_large_as_a_finger(screen: Page, job: str) -> None:
    small = []
    for sheet in ("client", "plan", "palette", "phases", "proposal", "choices"):
        screen.goto(f"{job}/{sheet}")
        small += [f"{sheet} {one}" for one in screen.evaluate(SMALL, FINGER)]
    assert small == []


def test_clients_face_has_no_fault_and_no_small_target(screen: Page, job: str) -> None:
    screen.goto(f"{job}/face")
    with screen.expect_navigation():
        screen.get_by_role("button", name="Show the client's face").tap()
    wrong = []
    try:
        for key in SHOWN:
            screen.goto(f"{job.replace('/jobs/', '/show/')}/{key}")
            wrong += [f"{key} {fault}" for fault in (*faults(screen), *screen.evaluate(SMALL, FINGER))]
    finally:
        with screen.expect_navigation():
            screen.get_by_role("button", name="Back to ours").tap()
    assert wrong == []
