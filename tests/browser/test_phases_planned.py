"""The phase planner by touch on a tablet: budgets typed, the plan shown with its price, built so, taken back."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Server, touch_context

pytestmark = [pytest.mark.browser, pytest.mark.slow]
MONEY = re.compile(r"\$[\d,]+")


def money(words: str) -> int:
    return int(MONEY.findall(words)[0].strip("$").replace(",", ""))


@pytest.fixture
def tablet(chromium: Browser) -> Iterator[Page]:
    context = touch_context(chromium, "tablet")
    yield context.new_page()
    context.close()


def test_phases_are_planned_built_so_and_taken_back(demo_server: Server, tablet: Page) -> None:
    tablet.goto(demo_server.address)
    tablet.get_by_role("link", name=re.compile("27 Quarry Bend")).first.tap()
    tablet.get_by_role("link", name=re.compile("Phases")).first.tap()
    tablet.get_by_role("link", name="Plan the phases").tap()
    expect(tablet.get_by_role("heading", name="Plan the phases")).to_be_visible()
    for number, budget, day in ((1, "90,000", "2027-05-03"), (2, "60,000", "2027-09-06")):
        tablet.locator(f"[name=budget_{number}]").fill(budget)
        tablet.locator(f"[name=start_{number}]").fill(day)
    tablet.get_by_role("button", name="Plan the phases").tap()
    plan = tablet.locator("#plan")
    expect(plan.get_by_role("heading", name="The plan")).to_be_visible()
    assert tablet.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    shown = plan.locator("article.planned header p")
    assert [money(words) <= budget for words, budget in zip(shown.all_inner_texts(), (90_000, 60_000), strict=True)]
    placed = [one.locator("ul.placed li .what").all_inner_texts() for one in plan.locator("article.planned").all()]
    plan.get_by_role("button", name="Build it in these phases").tap()
    expect(tablet.get_by_role("heading", name="Plan the phases")).to_be_hidden()
    expect(tablet.get_by_text("starts May 3, 2027").first).to_be_visible()
    phases = tablet.locator("section.phase").all_inner_texts()[:2]
    for words, zones in zip(phases, placed, strict=True):
        assert all(re.sub(r"^[A-Z]\s+", "", zone.strip()) in words for zone in zones)
    tablet.get_by_role("button", name=re.compile("Undo")).tap()
    expect(tablet.get_by_text("starts May 3, 2027")).to_have_count(0)
