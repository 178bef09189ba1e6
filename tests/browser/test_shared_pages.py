"""Laptop and tablet, each a browser of its own on a machine of its own: shared, trusted, opened over HTTPS, ended."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Error, Page, Playwright, expect

from tests.browser.conftest import SIZES
from tests.browser.machines import browser_on
from tests.browser.test_accessible import FINGER, SMALL, faults
from tests.two_machines import LAPTOP, Wire, laptop_serving

HERE = "http://127.0.0.1:8137/firm/share"
NAME = "outlay.local"  # of a firm without a name yet


@pytest.fixture(scope="module")
def wire(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Wire]:
    with laptop_serving(tmp_path_factory.mktemp("wire") / "data") as made:
        yield made


@pytest.fixture(scope="module")
def laptop(wire: Wire, playwright_here: Playwright) -> Iterator[Page]:
    browser = browser_on(wire.laptop, playwright_here, wire.data.parent, NAME)
    yield browser.new_page(viewport={"width": 1180, "height": 820}, has_touch=True)
    browser.close()


@pytest.fixture(scope="module")
def tablet(wire: Wire, playwright_here: Playwright) -> Iterator[Page]:
    """A tablet; that it checks chain and name is held against OpenSSL in tests/commands/test_two_machines.py."""
    browser = browser_on(wire.tablet, playwright_here, wire.data.parent, NAME)
    width, height = SIZES["tablet"]
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=True, ignore_https_errors=True, service_workers="block"
    )
    yield context.new_page()
    browser.close()


def test_shared_opened_over_https_by_name_and_address_and_gone_when_switched_off(laptop: Page, tablet: Page) -> None:
    laptop.goto(HERE)
    laptop.get_by_role("button", name="Share", exact=True).click()
    expect(laptop.get_by_text(f"https://{NAME}:8138", exact=True)).to_be_visible()
    expect(laptop.get_by_role("img", name="The address as a code for a camera")).to_be_visible()
    for called in (NAME, LAPTOP):
        answered = tablet.goto(f"https://{called}:8138/trust")
        assert answered is not None
        assert answered.status == 200
        assert answered.security_details() is not None
        expect(tablet.get_by_role("heading", name="Trust this laptop, once")).to_be_visible()
    refused = tablet.goto(f"https://{NAME}:8138/prices")
    assert refused is not None
    assert refused.status == 403
    laptop.reload()
    expect(laptop.get_by_text("this network lets devices see one another")).to_be_visible()
    laptop.get_by_role("button", name="Stop sharing").click()
    expect(laptop.get_by_text("Sharing was switched off at")).to_be_visible()
    with pytest.raises(Error, match="ERR_CONNECTION_REFUSED"):
        tablet.goto(f"https://{NAME}:8138/trust")


def test_the_trust_step_shows_the_same_fingerprint_on_both_screens_and_hands_out_what_was_shown(
    laptop: Page, tablet: Page
) -> None:
    from hashlib import sha256

    laptop.goto(HERE)
    laptop.get_by_role("button", name="Share", exact=True).click()
    laptop.get_by_role("button", name="Open the trust step").click()
    expect(laptop.locator(".fingerprint")).to_be_visible()
    tablet.goto(f"http://{LAPTOP}:8139/trust")
    expect(tablet.get_by_text("This page came over plain HTTP")).to_be_visible()
    assert tablet.locator("svg.sketch").count() == 4
    said = laptop.locator(".fingerprint").inner_text()
    assert tablet.locator(".fingerprint").inner_text() == said
    for summary in tablet.locator("details summary").all():
        summary.click()
    with tablet.expect_download() as taken:
        tablet.get_by_role("link", name="Take the certificate").click()
    assert sha256(Path(taken.value.path()).read_bytes()).hexdigest().upper() == said.replace(" ", "")
    answered = tablet.goto(f"http://{LAPTOP}:8139/firm")
    assert answered is not None
    assert answered.status == 403
    laptop.get_by_role("button", name="Close the trust step").click()
    expect(laptop.get_by_role("button", name="Open the trust step")).to_be_visible()
    with pytest.raises(Error, match="ERR_CONNECTION_REFUSED"):
        tablet.goto(f"http://{LAPTOP}:8139/trust")
    laptop.get_by_role("button", name="Stop sharing").click()
    expect(laptop.get_by_text("Sharing was switched off at")).to_be_visible()


@pytest.mark.parametrize("size", SIZES)
def test_the_page_of_the_switch_fits_every_screen(laptop: Page, size: str) -> None:
    width, height = SIZES[size]
    laptop.set_viewport_size({"width": width, "height": height})
    laptop.goto(HERE)
    laptop.get_by_role("button", name="Share", exact=True).click()
    expect(laptop.get_by_role("button", name="Stop sharing")).to_be_visible()
    assert laptop.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    laptop.get_by_role("button", name="Open the trust step").click()
    expect(laptop.locator(".fingerprint")).to_be_visible()
    for path in ("/firm/share", "/trust"):
        laptop.goto(f"http://127.0.0.1:8137{path}")
        assert faults(laptop) == []
        assert laptop.evaluate(SMALL, FINGER) == []
    laptop.goto(HERE)
    laptop.get_by_role("button", name="Stop sharing").click()
    expect(laptop.get_by_text("Sharing was switched off at")).to_be_visible()
