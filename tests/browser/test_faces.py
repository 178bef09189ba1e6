"""Two screens side by side: a device is let in, handed over and brought back; every page at three sizes has no fault."""

import os
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import SIZES, touch_context
from tests.browser.test_accessible import FINGER, SMALL, faults
from tests.served import ROOT, Server, free_port

pytestmark = [pytest.mark.browser, pytest.mark.slow]
CODE = "quarry-27"


@dataclass
class Screens:
    """Our screen, and one at which another device is held."""

    ours: Page
    other: Page
    own_address: str
    other_address: str


@pytest.fixture
def screens(tmp_path: Path, chromium: Browser) -> Iterator[Screens]:
    own, other = free_port(), free_port()
    words = [sys.executable, "-m", "tests.served_beside", str(tmp_path / "data"), str(own), str(other)]
    process = subprocess.Popen(words, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)})
    addresses = [f"http://127.0.0.1:{port}" for port in (own, other)]
    contexts = [touch_context(chromium, "laptop"), touch_context(chromium, "phone")]
    try:
        for address in addresses:
            _wait(process, address + "/pair")
        yield Screens(contexts[0].new_page(), contexts[1].new_page(), *addresses)
    finally:
        for context in contexts:
            context.close()
        process.terminate()
        process.wait(60)


def _wait(process: subprocess.Popen, address: str) -> None:
    deadline = time.monotonic() + 300
    while process.poll() is None and time.monotonic() < deadline:
        try:
            urllib.request.urlopen(address, timeout=5).read()
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError("it does not answer")


def looked_at(page: Page, name: str) -> list[str]:
    """What is wrong with a page at three sizes: for a reader, for a finger, across the edge."""
    wrong, before = [], page.viewport_size
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        found = [*faults(page), *page.evaluate(SMALL, FINGER), *([f"{wide} px too wide"] if wide > 0 else [])]
        wrong += [f"{name} {size}: {one}" for one in found]
    assert before
    page.set_viewport_size(before)
    return wrong


def let_in(at: Screens, face: str, look: Callable[[Page, str], None]) -> None:
    """The steps on both screens."""
    at.ours.goto(at.own_address + "/firm/devices")
    look(at.ours, "devices")
    at.ours.locator("label.chip", has_text=face).tap()
    at.ours.get_by_role("button", name="Make a code").tap()
    expect(at.ours.locator(".code")).to_be_visible()
    look(at.ours, "code")
    code = at.ours.locator(".code").inner_text()
    at.other.goto(at.other_address + "/")
    assert at.other.url.endswith("/pair")
    look(at.other, "door")
    at.other.get_by_label("The code on").fill(code.lower())
    at.other.get_by_label("What this device").fill("Ada's phone")
    at.other.get_by_role("button", name="Ask to be let in").tap()
    expect(at.other.locator(".two-words")).to_be_visible()
    look(at.other, "waiting")
    expect(at.ours.locator(".asks")).to_be_visible()
    look(at.ours, "asks")
    assert at.ours.locator(".two-words").inner_text() == at.other.locator(".two-words").inner_text()
    at.ours.get_by_role("button", name="Same words").tap()
    expect(at.ours.locator(".devices")).to_contain_text("Ada's phone")


def test_device_is_let_in_and_comes_to_ours_by_passcode_on_faultless_pages(screens: Screens) -> None:
    wrong: list[str] = []

    def look(page: Page, name: str) -> None:
        wrong.extend(looked_at(page, name))

    let_in(screens, "Field", look)
    other, ours = screens.other, screens.ours
    other.wait_for_url("**/field")
    look(other, "field")
    ours.locator(".devices summary").first.tap()
    ours.get_by_label("Passcode", exact=True).fill(CODE)
    ours.get_by_label("The same again").fill(CODE)
    ours.get_by_role("button", name="Set it").tap()
    expect(ours.locator("#passcode")).to_contain_text("One is set.")
    ours.locator(".devices summary").first.tap()
    look(ours, "devices with one")
    other.get_by_role("link", name="Back to ours").tap()
    other.get_by_label("The passcode").fill("quarry-28")
    other.get_by_role("button", name="Back to ours").tap()
    expect(other.locator(".wrong")).to_be_visible()
    look(other, "passcode")
    other.get_by_label("The passcode").fill(CODE)
    other.get_by_role("button", name="Back to ours").tap()
    other.wait_for_url(lambda url: "/face" not in url and "/field" not in url)
    other.goto(screens.other_address + "/firm/devices")
    look(other, "ours")
    other.get_by_role("button", name="Back to its own pages").tap()
    other.wait_for_url("**/field")
    ours.locator(".devices summary").first.scroll_into_view_if_needed()
    ours.locator(".devices").get_by_label("The passcode").fill(CODE)
    ours.get_by_role("button", name="Shut out Ada's phone").tap()
    expect(ours.locator(".devices.gone")).to_contain_text("Ada's phone")
    answer = other.goto(screens.other_address + "/field")
    assert answer
    assert answer.status == 401
    expect(other.get_by_role("heading", name="Not let in any more")).to_be_visible()
    look(other, "shut out")
    assert wrong == []


@pytest.mark.parametrize("size", list(SIZES))
def test_crew_s_pages_have_no_fault(chromium: Browser, demo_server: Server, size: str) -> None:
    context = touch_context(chromium, size)
    page = context.new_page()
    wrong = []
    page.goto(demo_server.address + "/field")
    job = page.locator(".field-list a").first.get_attribute("href")
    for path in ("/field", job, *(f"{job}/{one}" for one in ("plan", "orders", "layout", "crew/all"))):
        page.goto(f"{demo_server.address}{path}")
        wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        found = [*faults(page), *page.evaluate(SMALL, FINGER), *([f"{wide} px too wide"] if wide > 0 else [])]
        wrong += [f"{path.rpartition('/')[2]}: {one}" for one in found]
    context.close()
    assert wrong == []
