"""Options at the client's table by touch: ticked with initials, the total follows, signed; one left open is taken later."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from app.config import Settings
from app.interchange.library_file import load_library
from app.services.office import open_office
from seed_demo.firm import fill_in_wages, open_the_book, set_up_firm
from seed_demo.telling import Teller, read_data
from tests.browser.conftest import touch_context
from tests.browser.hand import Hand
from tests.browser.test_main_job import MONEY, sign
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
SIGNERS = ("Linnea Whitlock", "Joss Whitlock")


@pytest.fixture
def hand(chromium: Browser, tmp_path: Path) -> Iterator[Hand]:
    """A hand at a tablet, at a server with the Whitlocks' yard in it as it is before anything is offered."""
    library = load_library()
    office = open_office(Settings(data=tmp_path / "data"), library.basis(), cautions=library.cautions)
    for step in (set_up_firm, fill_in_wages, open_the_book):
        step(office)
    Teller(office, read_data("whitlock")).tell()
    office.database.close()
    with serving(tmp_path / "data") as server:
        context = touch_context(chromium, "tablet")
        yield Hand(context.new_page(), server.address)
        context.close()


def cents(words: str) -> int:
    """The first money in a text [cents]."""
    found = re.search(r"\$([\d,]+)(?:\.(\d\d))?", words)
    assert found, words
    return int(found[1].replace(",", "")) * 100 + int(found[2] or 0)


def option(hand: Hand):
    return hand.page.locator("article.option", has_text="The herb bed")


def total(hand: Hand) -> int:
    return cents(hand.page.locator("#options-total").inner_text())


def tick(hand: Hand) -> int:
    """Tap the tick of the option; the status of the answer."""
    with hand.page.expect_response(lambda answer: answer.request.method == "POST") as got:
        option(hand).locator("label.tick").tap()
    hand.still()
    return got.value.status


def offered_with_an_option_left_open(hand: Hand) -> str:
    """The herb bed of the Whitlocks is an option nobody ticked yet, and the proposal is offered so; returns the job's id."""
    page = hand.page
    hand.open("/")
    job = page.locator("a[href^='/jobs/']").first.get_attribute("href").split("/")[2]
    hand.open(f"/jobs/{job}/choices")
    new = hand.unfold("Make something an option")
    page.locator("label.chip:visible", has_text="Herb").first.tap()
    hand.type("What the option is called", "The herb bed", within=new)
    hand.save("Make it an option", within=new)
    assert tick(hand) == 200
    hand.open(f"/jobs/{job}/proposal")
    hand.save("Offer this proposal")
    return job


def to_options(hand: Hand) -> None:
    with hand.page.expect_navigation():
        hand.page.get_by_role("navigation", name="Pages").get_by_role("link", name="Options").tap()
    assert not MONEY.search(hand.page.content()), "the price is under its cover"
    hand.go("Lift the cover of the price", "link")


def to_sign(hand: Hand, revision: str) -> None:
    with hand.page.expect_navigation():
        hand.page.get_by_role("navigation", name="Pages").get_by_role("link", name="Proposal").tap()
    hand.go("Lift the cover of the price", "link")
    with hand.page.expect_navigation():
        section = hand.page.locator("section.offered", has_text=revision).first
        section.get_by_role("link", name="Sign").tap()


def test_an_option_is_ticked_initialed_signed_and_one_left_open_taken_later(hand: Hand) -> None:
    page = hand.page
    job = offered_with_an_option_left_open(hand)
    hand.open(f"/jobs/{job}/face")
    hand.go("Show the client's face")
    to_options(hand)
    before, adds = total(hand), cents(option(hand).locator(".figure").inner_text())

    assert tick(hand) == 422, "nobody decided it yet"
    expect(option(hand)).to_contain_text("Type your initials here")
    assert total(hand) == before
    with page.expect_response(lambda answer: answer.request.method == "POST") as got:  # the tick waited for them
        option(hand).get_by_label("Initials").fill("lw")
        page.locator("h1").tap()
    assert got.value.status == 200
    hand.still()
    assert total(hand) == before + adds
    to_sign(hand, "Proposal")
    expect(page.locator("main")).to_contain_text("They are offered again")  # these pages say otherwise

    to_options(hand)
    assert tick(hand) == 200  # left open after all
    assert total(hand) == before
    to_sign(hand, "Proposal")
    for name in SIGNERS:
        sign(hand, name)
    expect(page.get_by_text("Everybody has signed")).to_be_visible()

    to_options(hand)
    assert total(hand) == before
    option(hand).get_by_label("Initials").fill("jw")
    assert tick(hand) == 200
    assert total(hand) == before + adds, "the printed price, to the cent"
    hand.go("Make the page to sign")
    expect(page.locator("h1")).to_have_text(re.compile("Sign change 1"))
    assert cents(page.locator(".bigprice").inner_text()) == before + adds
    for name in SIGNERS:
        sign(hand, name)
    to_options(hand)
    expect(option(hand)).to_contain_text("signed, JW")
    assert total(hand) == before + adds
