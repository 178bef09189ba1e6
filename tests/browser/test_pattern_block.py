"""The pattern of a zone by touch and by keyboard: laid, counted, given another size, refused with its sentence."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import touch_context
from tests.browser.drawing_hand import DrawingHand, begun, job_in
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PATIO = "POLYGON ((0 0, 18 0, 18 12, 0 12, 0 0))"


def at_the_pattern(page: Page, address: str, data: Path, job_id) -> DrawingHand:
    zone = job_in(data, job_id).zones[0]
    hand = DrawingHand(page, f"{address}/jobs/{job_id}/plan?focus=zone:{zone.id}")
    hand.open()
    return hand


def change(page: Page) -> None:
    summary = page.locator("summary", has_text="pattern")
    summary.scroll_into_view_if_needed()
    if summary.locator("xpath=..").get_attribute("open") is None:
        summary.tap()


def test_pattern_is_laid_by_touch_and_its_counts_and_sizes_stand_in_the_margin(
    chromium: Browser, tmp_path: Path
) -> None:
    """18 by 12 ft in units of 9 by 6 in: 12 courses of 24 and 12 of 25 opened, 588 units. Source: counting by hand."""
    data = tmp_path / "data"
    job_id = begun(data, Patio=PATIO)
    with serving(data) as server:
        context = touch_context(chromium, "laptop")
        page = context.new_page()
        hand = at_the_pattern(page, server.address, data, job_id)
        expect(page.get_by_text("counted by area").first).to_be_visible()
        change(page)
        page.get_by_label("Pattern", exact=True).select_option("running-half")
        page.get_by_role("button", name="Lay it").tap()
        expect(page.get_by_text("Units opened")).to_be_visible()
        expect(page.get_by_text("Field, running bond, half").first).to_be_visible()
        hand.rests()
        change(page)
        page.get_by_label("Pattern", exact=True).select_option("two-size")
        page.get_by_role("button", name="Lay it").tap()
        expect(page.get_by_text("Field, two sizes in courses").first).to_be_visible()
        hand.rests()
        change(page)
        second = page.locator("#f-laysecond_size")
        second.select_option("paver-cobble-harvest-square")
        page.get_by_role("button", name="Lay it").tap()
        expect(page.locator("#f-laysecond_size")).to_have_value("paver-cobble-harvest-square")
        hand.rests()
        tall = page.locator("#margin-part select, #margin-part .button, #margin-part button").all()
        small = [box for one in tall if one.is_visible() and (box := one.bounding_box()) and box["height"] < 44]
        assert small == []
        context.close()
    (work,) = [one for one in job_in(data, job_id).works if one.laying]
    assert work.laying is not None
    assert (work.laying.pattern, work.laying.other_sizes) == ("two-size", ("paver-cobble-harvest-square", ""))


def test_border_that_leaves_no_field_is_refused_beside_the_pattern_and_what_was_typed_stays(
    chromium: Browser, tmp_path: Path
) -> None:
    data = tmp_path / "data"
    job_id = begun(data, Strip="POLYGON ((0 0, 18 0, 18 1, 0 1, 0 0))")
    with serving(data) as server:
        context = touch_context(chromium, "laptop")
        page = context.new_page()
        at_the_pattern(page, server.address, data, job_id)
        change(page)
        page.get_by_label("Pattern", exact=True).select_option("stack")
        page.get_by_label("Border, along the outline first").select_option("soldier")
        page.get_by_role("button", name="Lay it").press("Enter")
        expect(page.locator("#f-laypattern-said .wrong")).to_contain_text("leave no field here")
        expect(page.get_by_label("Pattern", exact=True)).to_have_value("stack")
        context.close()
    assert [one.laying for one in job_in(data, job_id).works if one.laying] == []


def test_border_is_taken_off_one_side_by_a_tap_on_its_number(chromium: Browser, tmp_path: Path) -> None:
    data = tmp_path / "data"
    job_id = begun(data, Patio=PATIO)
    with serving(data) as server:
        context = touch_context(chromium, "laptop")
        page = context.new_page()
        hand = at_the_pattern(page, server.address, data, job_id)
        change(page)
        page.get_by_label("Pattern", exact=True).select_option("stack")
        page.get_by_label("Border, along the outline first").select_option("soldier")
        page.get_by_role("button", name="Lay it").tap()
        number = page.get_by_role("link", name="Side 2 of A Patio, with border")
        expect(number).to_be_visible()
        hand.rests()
        box = number.bounding_box()
        assert box
        page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.get_by_role("button", name="No border along this side").tap()
        expect(page.get_by_role("link", name="Side 2 of A Patio, without border")).to_be_visible()
        context.close()
    (work,) = [one for one in job_in(data, job_id).works if one.laying]
    assert work.laying is not None
    assert len(work.laying.along) == 3
