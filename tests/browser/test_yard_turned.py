"""The yard as it will look turns under a finger that is drawn across it, and not under one that scrolls."""

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import SIZES, touch_context
from tests.served import Server

pytestmark = [pytest.mark.browser, pytest.mark.slow]
STEPS = 8


def swipe(page: Page, across: int, down: int) -> None:
    """One finger put down in the middle of what is seen of the drawing, drawn so many px, lifted."""
    figure = page.locator("figure.yard")
    figure.scroll_into_view_if_needed()
    box = figure.bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + min(box["height"], 300) / 2
    fingers = page.context.new_cdp_session(page)

    def touch(kind: str, *points: dict[str, float]) -> None:
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": list(points)})

    touch("touchStart", {"x": x, "y": y})
    for step in range(1, STEPS + 1):
        touch("touchMove", {"x": x + across * step / STEPS, "y": y + down * step / STEPS})
    touch("touchEnd")
    fingers.detach()


def test_finger_drawn_across_turns_the_yard_there_and_back(chromium: Browser, demo_server: Server) -> None:
    context = touch_context(chromium, "laptop")
    page = context.new_page()
    page.goto(demo_server.address + "/")
    href = page.locator("a[href^='/jobs/']").first.get_attribute("href") or ""
    page.goto(demo_server.address + "/".join(href.split("/")[:3]) + "/seen")
    corner = page.get_by_text(re.compile(r"^corner \d of 8$"))
    begun = int(corner.inner_text().split()[1])
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        swipe(page, across=-20, down=-120)  # scrolls
        swipe(page, across=-30, down=0)  # no more than a trembling tap
        swipe(page, across=-120, down=8)
        expect(corner).to_have_text(f"corner {(begun - 2) % 8 + 1} of 8")
        swipe(page, across=120, down=0)
        expect(corner).to_have_text(f"corner {begun} of 8")
    context.close()
