"""A change order by touch, at tablet size: from a signed proposal over a change of the plan to a signed change order."""

import asyncio
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from app.config import Settings
from app.interchange.library_file import load_library
from app.services.office import open_office
from app.worker.running import worker_of_this_loop
from seed_demo.agreement import sign_proposal
from seed_demo.firm import fill_in_wages, open_the_book, set_up_firm
from seed_demo.telling import Teller, read_data
from tests.browser.conftest import touch_context
from tests.browser.hand import Hand
from tests.browser.test_main_job import sign
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
# what of a paper's title block is cut off, or breaks where there is no space
BROKEN = """() => {
  const block = document.querySelector('.document .title-block'), found = [];
  for (const one of block.querySelectorAll('*'))
    if (one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display !== 'inline') found.push(one.textContent);
  const texts = document.createTreeWalker(block, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const words = texts.currentNode.textContent.trim(), range = document.createRange();
    range.selectNodeContents(texts.currentNode);
    if (words && !/[\\s-]/.test(words) && range.getClientRects().length > 1) found.push(words);
  }
  return found;
}"""
SIGNERS = ("Linnea Whitlock", "Joss Whitlock")


def signed_yard(data: Path) -> None:
    """The Whitlocks' yard, offered and signed as it was drawn."""
    library = load_library()
    office = open_office(Settings(data=data), library.basis(), cautions=library.cautions)
    for step in (set_up_firm, fill_in_wages, open_the_book):
        step(office)
    job_id = Teller(office, read_data("whitlock")).tell()

    async def signed() -> None:
        await sign_proposal(office, job_id, contractor=office.firm().owner)
        await worker_of_this_loop().close()

    asyncio.run(signed())
    office.database.close()


@pytest.fixture
def hand(chromium: Browser, tmp_path: Path) -> Iterator[Hand]:
    """A hand at a tablet, at a server with that yard."""
    with ThreadPoolExecutor(1) as aside:  # the browser's loop runs in this thread
        aside.submit(signed_yard, tmp_path / "data").result()
    with serving(tmp_path / "data") as server:
        context = touch_context(chromium, "tablet")
        yield Hand(context.new_page(), server.address)
        context.close()


def cents(words: str) -> int:
    """The first money in a text [cents], with its sign."""
    found = re.search(r"([+−]?)\$([\d,]+)(?:\.(\d\d))?", words)
    assert found, words
    amount = int(found[2].replace(",", "")) * 100 + int(found[3] or 0)
    return -amount if found[1] == "−" else amount


def test_from_a_signed_proposal_to_a_signed_change_order(hand: Hand) -> None:
    page = hand.page
    hand.open("/")
    job = page.locator("a[href^='/jobs/']").first.get_attribute("href").split("/")[2]
    at = f"/jobs/{job}/change-orders"
    hand.open(at)
    expect(page.locator("#difference")).to_contain_text("the plan is as it was signed")

    hand.open(f"/jobs/{job}/choices")
    left = hand.unfold("Leave a zone out for now")
    left.locator("li", has_text="Herb").get_by_role("button", name="Leave out").tap()
    hand.still()
    hand.open(f"/jobs/{job}/proposal")
    hand.go("Change orders", "link")
    herbs = page.locator("article.changed-zone", has_text="Herb")
    expect(herbs).to_contain_text("Taken out")
    by = cents(page.locator("#difference .bigprice").inner_text())
    assert by < 0
    hand.open(f"{at}/draft")
    assert page.evaluate(BROKEN) == [], "an address or a sum of the title block is cut off or broken in two"
    hand.open(at)
    expect(page.locator(".note.stop", has_text="Herb")).to_contain_text("Do not start it yet")

    words = page.locator("#words")
    hand.type("In plain words, for the client", "No herbs this year.", within=words)
    hand.type("Working days added", "1/2", within=words)
    hand.type("What the days are for", "The lawn is carried on.", within=words)
    hand.save("Save", within=words)
    expect(page.get_by_label("Working days added")).to_have_value("0.5")
    hand.save("Offer this change order")
    row = page.locator("#order-1")
    expect(row).to_contain_text("offered")
    summed = cents(row.locator(".figure").inner_text())

    hand.go("Show and sign at the table", "link")
    expect(page.locator("h1")).to_have_text("Sign change order 1")
    expect(page.locator("main")).to_contain_text("No herbs this year.")
    figures = page.locator(".changed-zone > .option-head .figure").all_inner_texts()
    assert sum(map(cents, figures)) == by
    for name in SIGNERS:
        sign(hand, name)
    expect(page.locator("main")).to_contain_text("Waits for Maren Oduya")  # who signed the proposal, too
    hand.chip("At your home")
    page.locator("label.tick", has_text="I have read these pages").tap()
    hand.draw()
    hand.go("Sign")
    expect(page.get_by_text("Everybody has signed")).to_be_visible()

    hand.open(at)
    expect(page.locator("#difference")).to_contain_text("the plan is as it was signed")
    expect(page.locator("#order-1")).to_contain_text("signed by Joss Whitlock")
    contract = page.locator("dl.rows .sum").first.inner_text()
    assert cents(contract) == summed
    hand.open(f"/jobs/{job}/build")
    expect(page.locator(".stands")).to_contain_text("From signed change order 1")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
