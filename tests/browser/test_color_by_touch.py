"""A color is taken from a photo by two taps of a finger: it is that of the place under the finger, on tablet and phone."""

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import SIZES, touch_context
from tests.served import Server

pytestmark = [pytest.mark.browser, pytest.mark.slow]
SKY, GRASS = (0.06, 0.05), (0.5, 0.94)  # shares of the picture, across and down


def tap(page: Page, place: tuple[float, float]) -> None:
    picture = page.locator("input.tap")
    picture.scroll_into_view_if_needed()
    box = picture.bounding_box()
    assert box
    with page.expect_navigation():
        page.touchscreen.tap(box["x"] + box["width"] * place[0], box["y"] + box["height"] * place[1])


def test_color_under_the_finger_is_taken_on_tablet_and_phone(chromium: Browser, demo_server: Server) -> None:
    context = touch_context(chromium, "laptop")
    page = context.new_page()
    page.goto(demo_server.address + "/")
    href = page.get_by_role("link", name=re.compile("27 Quarry Bend")).first.get_attribute("href") or ""
    page.goto(demo_server.address + "/".join(href.split("/")[:3]) + "/palette")
    photo = demo_server.address + (page.locator(".thumbs a").first.get_attribute("href") or "")
    taken = set()
    for width, height in (SIZES["tablet"], SIZES["phone"]):  # the margin is wider than the picture, and nearly as wide
        page.set_viewport_size({"width": width, "height": height})
        page.goto(photo)
        tap(page, SKY)
        expect(page.get_by_text("Now tap the stone")).to_be_visible()
        tap(page, GRASS)
        taken.add(page.locator("#margin-part .bubbled b").first.inner_text())
    (color,) = taken
    red, green, blue = (int(color[at : at + 2], 16) for at in (1, 3, 5))
    assert green > red > blue, "grass is green"
    context.close()
