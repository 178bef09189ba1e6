"""By touch, at tablet and phone size: a proposal is signed, ordered, built, billed, paid, tested, handed over, closed."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from uuid import UUID

import pytest
from playwright.sync_api import Browser, expect

from app.services import jobs
from app.services.jobs import changed, open_job
from app.services.office import Office, utc_now
from tests.browser.conftest import touch_context
from tests.browser.hand import Hand
from tests.offering import offer, order
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
CLIENT = "Linnea Whitlock"
MEASURED = {"Fall of the finished surface": "2%", "Water runs off": "1/16 in"}


def offered(office: Office, job_id: UUID) -> None:
    """One client, and a proposal that waits for her."""
    opened = open_job(office, job_id)
    alone = changed("client", opened.job.client.id, opened.version("client", opened.job.client.id), {"second_name": ""})
    jobs.save(office, job_id, (alone,), order())
    offer(office, job_id)


@pytest.fixture(params=["tablet", "phone"])
def hand(request: pytest.FixtureRequest, chromium: Browser, stocked: Office, ready: UUID) -> Iterator[Hand]:
    """A hand at a screen, at a server with that proposal."""
    stocked.clock = utc_now
    with ThreadPoolExecutor(1) as beside:  # the browser's driver keeps an event loop in this thread
        beside.submit(offered, stocked, ready).result()
    stocked.database.close()
    with serving(stocked.settings.data) as server:
        context = touch_context(chromium, request.param)
        found = Hand(context.new_page(), server.address)
        found.open(f"/jobs/{ready}/proposal")
        yield found
        context.close()


def fits(hand: Hand) -> None:
    wide = hand.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0, f"{hand.page.url} runs off the screen's side"


def signs(hand: Hand, job: str) -> None:
    """At the office, so that nothing waits for days to cancel."""
    hand.open(f"/show/{job}/proposal?lift=true")
    hand.go("Sign", "link")
    hand.consent(CLIENT)
    hand.chip("At our office")
    hand.page.locator("label.tick", has_text="I have read these pages").tap()
    hand.draw()
    hand.go("Sign")
    expect(hand.page.get_by_text("Everybody has signed")).to_be_visible()


def orders_and_builds(hand: Hand, job: str) -> None:
    """What is bought stands by supplier; the crew writes down a day."""
    hand.open(f"/jobs/{job}/build")
    expect(hand.page.locator(".stands")).to_contain_text("From signed proposal")
    expect(hand.page.locator("#orders")).to_contain_text("to order")
    hand.open(f"/field/{job}/log")
    hand.type("Name", "Ada Fenn")
    tasks = hand.page.locator(".log-tasks label.task")
    tasks.first.scroll_into_view_if_needed()
    tasks.first.tap()
    hand.go("8 hours")
    expect(hand.page.locator("#today")).to_contain_text("Ada Fenn")


def bills(hand: Hand, number: int) -> None:
    """The invoice that is shown is issued and paid by check."""
    hand.save(f"Issue invoice {number}")
    bill = hand.page.locator("#invoices li").first
    hand.tap("Take a payment", "link", within=bill)
    expect(hand.page.get_by_label("Amount", exact=True)).not_to_have_value("")
    hand.save("Check")


def reaches_all_but_last(hand: Hand, job: str) -> None:
    page = hand.page
    hand.open(f"/jobs/{job}/money")
    count = page.locator("#milestones li").count()
    for at in range(count - 1):
        hand.tap("Reached today", "link", within=page.locator("#milestones li").nth(at))
        hand.save("It is reached")
    bills(hand, 1)


def signs_tests_and_hands_over(hand: Hand, job: str) -> None:
    """Hand-over waits until each test is signed; what was seen is put on the punch list and done."""
    page = hand.page
    hand.open(f"/jobs/{job}/after")
    expect(page.locator("#hand-over")).to_contain_text("once all tests are signed")
    hand.go("Tests", "link")
    rows = page.locator(".tests > li")
    for at in range(rows.count()):
        row = rows.nth(at)
        title = row.locator("b").inner_text().split("\n")[-1].removeprefix("A").strip()
        hand.tap("Sign it", "link", within=row)
        hand.type("Signed by", "Ada Fenn", within=row)
        if title in MEASURED:
            hand.type("Measured", MEASURED[title], within=row)
            hand.save("Sign what was measured", within=row)
        else:
            hand.type("Note", "Seen by both of us", within=row)
            hand.save("Passed", within=row)
        expect(rows.nth(at)).to_contain_text("signed by Ada Fenn")
    fits(hand)
    hand.open(f"/jobs/{job}/after/punch")
    hand.type("What is to be done", "Sweep the joints")
    hand.save("Put it on the list")
    item = page.locator(".pays > li", has_text="Sweep the joints")
    hand.tap("Done", "link", within=item)
    hand.save("It is done", within=item)
    expect(page.locator(".pays > li", has_text="Sweep the joints")).to_contain_text("done")
    hand.open(f"/jobs/{job}/after")
    hand.save("Hand it over")
    expect(page.locator("#hand-over")).to_contain_text("Handed over")


def test_from_the_proposal_to_the_closed_job(hand: Hand) -> None:
    job = hand.job.rsplit("/", 1)[1]
    signs(hand, job)
    orders_and_builds(hand, job)
    reaches_all_but_last(hand, job)
    signs_tests_and_hands_over(hand, job)
    hand.go("Money", "link")  # the last payment was reached with the hand-over
    bills(hand, 2)
    hand.open(f"/jobs/{job}/after")
    closing = hand.page.locator("#closing")
    expect(closing).to_contain_text("nothing stands open")
    fits(hand)
    hand.save("Close the job", within=closing)
    expect(hand.page.locator(".stands")).to_contain_text("Closed on")
    hand.open("/?closed=true")
    expect(hand.page.locator(".jobs")).to_contain_text(CLIENT)
