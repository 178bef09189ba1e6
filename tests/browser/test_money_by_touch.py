"""At the tablet: a payment of the signed table is reached, its invoice seen and issued, paid in two taps; nothing is owed."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from uuid import UUID

import pypdf
import pytest
from playwright.sync_api import Browser, expect

from app.services.office import Office, utc_now
from tests.browser.conftest import touch_context
from tests.browser.hand import Hand
from tests.offering import offer, sign
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def sell(office: Office, job_id: UUID) -> None:
    one = offer(office, job_id)
    for signer in one.signers:
        sign(office, job_id, one.id, signer.name)


@pytest.fixture
def hand(chromium: Browser, stocked: Office, ready: UUID) -> Iterator[Hand]:
    """A hand at a tablet, at a server with a signed job."""
    stocked.clock = utc_now
    with ThreadPoolExecutor(1) as beside:  # the browser's driver keeps an event loop in this thread
        beside.submit(sell, stocked, ready).result()
    stocked.database.close()
    with serving(stocked.settings.data) as server:
        context = touch_context(chromium, "tablet")
        found = Hand(context.new_page(), server.address)
        found.open(f"/jobs/{ready}/build")
        yield found
        context.close()


def owed(hand: Hand) -> str:
    return hand.page.locator(".sums .strong dd").inner_text()


def test_milestone_becomes_an_invoice_that_is_paid_until_nothing_is_owed(hand: Hand) -> None:
    page = hand.page
    hand.go("Money", "link")
    assert owed(hand) == "$0"
    first = page.locator("#milestones li").first
    expect(first).to_contain_text("not reached yet")
    hand.tap("Reached today", "link", within=first)
    hand.save("It is reached")
    expect(page.get_by_role("heading", name="Invoice 1, before it is issued")).to_be_visible()
    expect(page.locator(".document")).to_contain_text("Linnea Whitlock")
    hand.save("Issue invoice 1")
    bill = page.locator("#invoices li").first
    expect(bill).to_contain_text("Invoice 1")
    asked = bill.locator(".n .door").first.inner_text()
    assert owed(hand) == asked != "$0"
    href = bill.get_by_role("link", name="Open to print").get_attribute("href")
    text = " ".join(one.extract_text() for one in pypdf.PdfReader(BytesIO(hand.bytes_of(href or ""))).pages)
    assert "Invoice 1" in text
    assert asked in text
    hand.tap("Take a payment", "link", within=bill)  # the first tap …
    expect(page.get_by_label("Amount", exact=True)).to_have_value(asked.removeprefix("$"))
    hand.save("Check")  # … and the second
    assert owed(hand) == "$0"
    expect(page.locator("#milestones li").first).to_contain_text("paid, invoice 1")
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0, "nothing runs off the tablet's side"


def test_void_asks_why_and_keeps_what_was_typed(hand: Hand) -> None:
    page = hand.page
    hand.go("Money", "link")
    hand.tap("Reached today", "link", within=page.locator("#milestones li").first)
    hand.save("It is reached")
    hand.save("Issue invoice 1")
    bill = page.locator("#invoices li").first
    hand.tap("Void", "link", within=bill)
    hand.tap("Void invoice 1")
    expect(page.locator("#invoices .wrong")).to_contain_text("Say why it is void")
    hand.type("Why it is void", "The wrong day")
    hand.save("Void invoice 1")
    expect(page.locator("#invoices li").first).to_contain_text("The wrong day")
    assert owed(hand) == "$0"
