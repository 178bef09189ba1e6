"""Shared edges by touch: the question mark on the plan opens its edge, a choice in the margin settles it."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import touch_context
from tests.browser.drawing_hand import DrawingHand, begun, job_in
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PATIO = "POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"
BED = "POLYGON ((20 0, 36 0, 36 12, 20 12, 20 0))"


def test_tapped_question_mark_opens_its_edge_and_a_choice_takes_it_away(chromium: Browser, tmp_path: Path) -> None:
    data = tmp_path / "data"
    job_id = begun(data, Patio=PATIO, Bed=BED)
    with serving(data) as server:
        context = touch_context(chromium, "laptop")
        page = context.new_page()
        hand = DrawingHand(page, f"{server.address}/jobs/{job_id}/plan")
        hand.open()
        hand.select((20, 6), "Edge to")
        page.get_by_label("The edge", exact=True).select_option("nothing")
        expect(page.get_by_label("The edge", exact=True)).to_have_value("nothing")
        page.get_by_role("button", name="Choose the edge").click()
        expect(page.locator("#drawing a[data-edge]")).to_have_count(0)
        hand.rests()
        context.close()
    assert [edge.choice.value for edge in job_in(data, job_id).edges] == ["nothing"]
