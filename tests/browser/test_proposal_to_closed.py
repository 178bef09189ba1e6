"""By touch, at tablet and phone size: a proposal is signed, ordered, built, billed, paid, tested, handed over, closed."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from uuid import UUID

import pytest
from playwright.sync_api import Browser, expect

from app.domain.basis import Supplier
from app.domain.change import Edit
from app.services import book, jobs
from app.services.changes import fields_of
from app.services.jobs import changed, open_job
from app.services.office import Office, utc_now
from app.services.sheets import sheet
from app.services.supply import supply
from tests.browser.conftest import touch_context
from tests.browser.hand import Hand
from tests.offering import offer, order
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.printed, pytest.mark.slow]
CLIENT, SELLER = "Linnea Whitlock", "Wren Hollow Stone"
MEASURED = {"Fall of the finished surface": "2%", "Water runs off": "1/16 in"}


def offered(office: Office, job_id: UUID) -> None:
    """One client, a yard that sells all there is to buy, and a proposal that waits for her."""
    needed = {line.material for one in supply(office, sheet(office, job_id)).build.orders for line in one.lines}
    yard = fields_of(Supplier(key="wren", title=SELLER), "supplier")
    sold = [book.edit_of(office, "price", key, 1, {"supplier": "wren"}) for key in sorted(needed)]
    jobs.save(
        office, None, (Edit(kind="supplier", thing_id="wren", version=0, before=None, after=yard), *sold), order()
    )
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


def orders_and_receives(hand: Hand, job: str) -> None:
    """An order is prepared, sent and comes whole, with the batch on its label; then nothing of it is to order."""
    page = hand.page
    hand.open(f"/jobs/{job}/build")
    expect(page.locator(".stands")).to_contain_text("From signed proposal")
    expect(page.locator("#orders")).to_contain_text("to order")
    hand.open(f"/jobs/{job}/orders")
    bought = page.locator(".supply-list", has_text="Materials").first
    hand.save("Prepare an order", within=bought)
    hand.tap("Open", "link", within=bought.locator(".supply-order"))
    hand.save("It is sent", within=bought)
    fits(hand)
    expect(bought).to_contain_text("all on order")
    hand.tap("It came", "link", within=bought)
    hand.still()
    first = bought.locator("fieldset.counted").first
    hand.type("Batch on the label", "HK-7", within=first)
    with page.expect_navigation():
        hand.tap("Write it down", within=bought)
    came = page.locator(".supply-list", has_text="Materials").first
    expect(came).to_contain_text("batch HK-7")
    expect(came.locator(".supply-order .state").first).to_contain_text("delivered")
    fits(hand)


def builds(hand: Hand, job: str) -> None:
    """The crew writes down a day."""
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


def signs_completion(hand: Hand, job: str) -> None:
    """With a finger, as the proposal was; the copy is locked, and her name stands beside the hand-over."""
    over = hand.page.locator("#hand-over")
    over.locator("label.tick", has_text="We sign it, too").tap()
    with hand.page.expect_navigation():
        hand.tap("Have it signed on this screen", within=over)
    hand.consent(CLIENT)
    hand.chip("At our office")
    hand.page.locator("label.tick", has_text="I have read these pages").tap()
    hand.draw()
    hand.go("Sign")
    expect(hand.page.get_by_text("Everybody has signed")).to_be_visible()
    hand.open(f"/jobs/{job}/after")
    expect(over).to_contain_text(f"signed by {CLIENT}")
    expect(over.get_by_role("link", name="Signed copy")).to_be_visible()


def test_from_the_proposal_to_the_closed_job(hand: Hand) -> None:
    job = hand.job.rsplit("/", 1)[1]
    signs(hand, job)
    orders_and_receives(hand, job)
    builds(hand, job)
    reaches_all_but_last(hand, job)
    signs_tests_and_hands_over(hand, job)
    signs_completion(hand, job)
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
