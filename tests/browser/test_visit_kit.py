"""The visit kit: laptop and tablet at the client's table, on a wire without any way out.

Paired, over HTTPS, the price read, a PDF made, the proposal signed by both; what would leave for anywhere else is cut,
and is never tried. That a device that trusts the authority accepts chain and name is in test_two_machines.
"""

import re
from base64 import b64decode
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from urllib.parse import urlsplit
from uuid import UUID

import pytest
from playwright.sync_api import Page, Playwright, Route, expect

from app.services.office import Office, utc_now
from tests.browser.conftest import SIZES
from tests.browser.hand import Hand
from tests.browser.machines import browser_on
from tests.offering import offer
from tests.two_machines import TABLET, Wire, laptop_serving

pytestmark = [pytest.mark.browser, pytest.mark.printed, pytest.mark.slow]
NAME = "brackenfold.local"
ADDRESS = f"https://{NAME}:8138"


@dataclass
class Table:
    """The laptop's own screen, the tablet in the client's hands, and what the tablet asked anybody else for."""

    laptop: Page
    tablet: Hand
    elsewhere: list[str]


@pytest.fixture
def wire(stocked: Office, ready: UUID) -> Iterator[Wire]:
    """The laptop comes with a proposal that was offered at the office."""
    stocked.clock = utc_now
    with ThreadPoolExecutor(1) as beside:  # the browser's driver keeps an event loop in this thread
        beside.submit(offer, stocked, ready).result()
    stocked.database.close()
    with laptop_serving(stocked.settings.data) as made:
        yield made


@pytest.fixture
def table(wire: Wire, playwright_here: Playwright) -> Iterator[Table]:
    own = browser_on(wire.laptop, playwright_here, wire.data.parent, NAME)
    theirs = browser_on(wire.tablet, playwright_here, wire.data.parent, NAME)
    width, height = SIZES["tablet"]
    context = theirs.new_context(
        viewport={"width": width, "height": height}, has_touch=True, ignore_https_errors=True, service_workers="block"
    )
    elsewhere: list[str] = []

    def only_the_laptop(route: Route) -> None:
        if urlsplit(route.request.url).netloc == urlsplit(ADDRESS).netloc:
            route.continue_()
        else:
            elsewhere.append(route.request.url)
            route.abort()

    context.route("**/*", only_the_laptop)
    yield Table(own.new_page(viewport={"width": 1180, "height": 820}), Hand(context.new_page(), ADDRESS), elsewhere)
    own.close()
    theirs.close()


def test_at_the_clients_table_without_any_network_but_the_wire(table: Table, ready: UUID) -> None:
    share(table.laptop)
    pair(table)
    price_and_plan(table.tablet, ready)
    signed_by_both(table.tablet, ready)
    assert table.elsewhere == []
    table.laptop.goto("http://127.0.0.1:8137/firm/devices")
    expect(table.laptop.get_by_text("Tablet at the table").first).to_be_visible()


def share(laptop: Page) -> None:
    laptop.goto("http://127.0.0.1:8137/firm/share")
    laptop.get_by_role("button", name="Share", exact=True).click()
    expect(laptop.get_by_text(ADDRESS, exact=True)).to_be_visible()


def pair(table: Table) -> None:
    """The code from the laptop, the same two words on both screens, the owner's word."""
    laptop, page = table.laptop, table.tablet.page
    laptop.goto("http://127.0.0.1:8137/firm/devices")
    laptop.get_by_role("button", name="Make a code").click()
    code = laptop.locator(".code").inner_text()
    table.tablet.open("/")
    assert urlsplit(page.url).path == "/pair"
    table.tablet.type("The code on the office's screen", code)
    table.tablet.type("What this device is called", "Tablet at the table")
    table.tablet.go("Ask to be let in")
    words = page.locator(".two-words").inner_text()
    expect(laptop.locator(".two-words")).to_have_text(words)
    expect(laptop.get_by_text(f"It asks from {TABLET}")).to_be_visible()
    laptop.get_by_role("button", name="Same words: let it in").click()
    expect(page.get_by_role("link", name="Linnea Whitlock").first).to_be_visible()


def file_of(page: Page, path: str) -> bytes:
    """A file as the tablet's browser itself gets it: the driver stands on another machine."""
    bits = page.evaluate(
        """async (path) => {
             const got = new Uint8Array(await (await fetch(path)).arrayBuffer());
             let text = '';
             for (const one of got) text += String.fromCharCode(one);
             return btoa(text);
           }""",
        path,
    )
    return b64decode(bits)


def price_and_plan(tablet: Hand, job_id: UUID) -> None:
    """Our own sheets on the tablet: a price, and a plan as PDF made there and then."""
    page = tablet.page
    tablet.open(f"/jobs/{job_id}/estimate")
    expect(page.locator("body")).to_contain_text(re.compile(r"\$\d+,\d{3}"))
    assert file_of(page, f"/jobs/{job_id}/plan/print.pdf").startswith(b"%PDF")


def signed_by_both(tablet: Hand, job_id: UUID) -> None:
    """Turned to the client, the cover lifted, signed with a finger; the signed copy begins with the offered pages."""
    page = tablet.page
    tablet.open(f"/jobs/{job_id}/proposal")
    tablet.go("Hand over the tablet")
    tablet.open(f"/show/{job_id}/proposal?lift=true")
    expect(page.locator(".bigprice")).to_have_text(re.compile(r"^\$\d+,\d{3}"))
    read = page.get_by_role("link", name="Read all pages").get_attribute("href") or ""
    offered = file_of(page, read)
    assert offered.startswith(b"%PDF")
    tablet.go("Sign", "link")
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        tablet.consent(name)
        tablet.chip(name)
        tablet.chip("At your home")
        page.locator("label.tick", has_text="I have read these pages").tap()
        tablet.draw()
        tablet.go("Sign")
        expect(page.get_by_text(f"Signed by {name}").first).to_be_visible()
    signed = page.get_by_role("link", name="Open the signed copy").get_attribute("href") or ""
    assert file_of(page, signed).startswith(offered)
