"""Saving far down a long page leaves the reader there: what was sent keeps its place in the window."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import SIZES, touch_context
from tests.browser.hand import Hand
from tests.served import Server

pytestmark = pytest.mark.browser

PAGES = ("/firm", "/jobs/{job}/client", "/jobs/{job}/site", "/jobs/{job}/phases", "/jobs/{job}/proposal")
# The form that stands lowest on the page and saves something that is there, in the middle of the window.
LOWEST = """() => {
  const seen = [...document.querySelectorAll('#page-part form[hx-target="#page-part"]')].filter((one) =>
    one.checkVisibility() && !/(remove|new|offer|again)$/.test(one.getAttribute('action')));
  const form = seen.at(-1);
  form.scrollIntoView({block: 'center', behavior: 'instant'});
  form.dataset.before = '1';
  const alike = [...document.forms].filter((one) => one.getAttribute('action') === form.getAttribute('action'));
  return [form.getAttribute('action'), alike.indexOf(form)];
}"""
SAVE = "() => document.querySelector('form[data-before]').requestSubmit()"
TOP = """([action, at]) =>
  [...document.forms].filter((one) => one.getAttribute('action') === action)[at].getBoundingClientRect().top"""
MORE_ABOVE = """() => {
  const one = document.createElement('p');
  one.style.height = '300px';
  document.getElementById('page-part').prepend(one);
}"""
RENEWED = "() => !document.querySelector('form[data-before]')"


@pytest.fixture(params=SIZES)
def page(chromium: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    context = touch_context(chromium, request.param)
    yield context.new_page()
    context.close()


def test_what_was_saved_far_down_a_page_keeps_its_place(demo_server: Server, page: Page) -> None:
    hand = Hand(page, demo_server.address)
    hand.open("/")
    job = page.locator("a[href^='/jobs/']").last.get_attribute("href").split("/")[2]
    for path in PAGES:
        hand.open(path.format(job=job))
        form = page.evaluate(LOWEST)
        before = page.evaluate(TOP, form)
        page.evaluate(SAVE)
        page.wait_for_function(RENEWED)
        hand.still()
        page.wait_for_timeout(150)  # the browser's own anchoring moves at the next layout
        assert page.evaluate(TOP, form) == pytest.approx(before, abs=2), path


def test_what_an_answer_lacks_above_moves_nothing_below_it(demo_server: Server, page: Page) -> None:
    hand = Hand(page, demo_server.address)
    hand.open("/")
    job = page.locator("a[href^='/jobs/']").last.get_attribute("href").split("/")[2]
    hand.open(f"/jobs/{job}/site")
    page.evaluate(MORE_ABOVE)
    form = page.evaluate(LOWEST)
    before = page.evaluate(TOP, form)
    page.evaluate(SAVE)
    page.wait_for_function(RENEWED)
    hand.still()
    page.wait_for_timeout(150)
    assert page.evaluate(TOP, form) == pytest.approx(before, abs=2)


def test_what_a_link_on_the_page_opens_is_there_where_it_was_tapped(demo_server: Server, page: Page) -> None:
    hand = Hand(page, demo_server.address)
    hand.open("/?closed=true")
    hand.open(page.locator("a[href$='/after/warranty']").first.get_attribute("href"))
    hand.tap("Change", "link", within=page.locator("#page-part"))
    hours = page.get_by_label("Hours of all together")
    expect(hours).to_be_visible()
    hand.still()
    page.wait_for_timeout(150)
    expect(hours).to_be_in_viewport()


def test_a_plan_that_was_asked_for_is_shown_though_it_stands_above(demo_server: Server, page: Page) -> None:
    hand = Hand(page, demo_server.address)
    hand.open("/")
    job = page.locator("a[href^='/jobs/']").last.get_attribute("href").split("/")[2]
    hand.open(f"/jobs/{job}/planner")
    hand.tap("Plan the phases", "button", within=page.locator("#page-part"))
    expect(page.locator("#plan-head")).to_be_in_viewport()


def test_zone_just_added_and_the_next_finish_are_shown_by_their_heads(empty_server: Server, page: Page) -> None:
    hand = Hand(page, empty_server.address)
    hand.open("/")
    hand.go("Later", "link")
    hand.type("Name", "Otis Fenwick")
    hand.go("Begin this job")
    job = hand.job
    for title, left in (("Terrace", "0"), ("Walk", "30")):
        hand.open(f"{job}/plan?focus=zone:new")
        hand.type("What the zone is called", title)
        page.locator("select[name=assembly]").locator("visible=true").select_option("unit-pavers")
        hand.type("Width", "12 ft")
        hand.type("Depth", "10 ft")
        hand.unfold("Where it lies", page.locator("#margin-part"))
        page.locator("#margin-part [name='outline.left']").locator("visible=true").fill(left)
        hand.save("Add the zone")
        expect(page.locator("#margin-part h2", has_text=title)).to_be_in_viewport()
    hand.open(f"{job}/palette?focus=role:finish")
    hand.chip("A Terrace")
    hand.save("Record the choice")
    expect(page.get_by_text("Recorded: finish")).to_be_in_viewport()
    expect(page.get_by_role("button", name="Record the choice")).to_be_visible()  # for the walk
    hand.save("Record the choice")
    expect(page.get_by_text("All finishes are chosen")).to_be_in_viewport()
