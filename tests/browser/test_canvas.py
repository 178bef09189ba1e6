"""The plan drawn by hand: by finger and by keyboard, on a tablet and on a phone, kept exactly, undone, refused, put right."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import pi
from pathlib import Path
from uuid import UUID

import pytest
from playwright.sync_api import Browser, expect

from app.domain.job import Alternative, Job, Measured
from app.domain.plan.arcs import Arc
from app.domain.plan.measures import area
from app.domain.plan.outline import segments
from tests.browser.conftest import touch_context
from tests.browser.drawing_hand import DrawingHand, begun, job_in
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
TERRACE = "POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"
BED = "POLYGON ((24 0.125, 40 0.125, 40 10, 24 10, 24 0.125))"


@dataclass
class Drawn:
    """A hand at the plan of a small job, and the job as it lies on the disk."""

    hand: DrawingHand
    data: Path
    job_id: UUID

    @property
    def job(self) -> Job:
        return job_in(self.data, self.job_id)

    @property
    def terrace(self) -> Alternative:
        job = self.job
        return job.chosen(next(zone for zone in job.zones if zone.title == "Terrace"))


@pytest.fixture(params=["laptop", "phone"])
def drawn(request: pytest.FixtureRequest, chromium: Browser, tmp_path: Path) -> Iterator[Drawn]:
    data = tmp_path / "data"
    job_id = begun(data, Terrace=TERRACE, Bed=BED)
    said: list[str] = []
    with serving(data) as server:
        context = touch_context(chromium, request.param)
        page = context.new_page()
        page.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
        page.on("pageerror", lambda error: said.append(str(error)))
        hand = DrawingHand(page, f"{server.address}/jobs/{job_id}/plan")
        hand.open()
        yield Drawn(hand, data, job_id)
        context.close()
    assert [one for one in said if "422" not in one and "409" not in one] == []


def in_hand(drawn: Drawn) -> DrawingHand:
    """The terrace selected, its shape in hand."""
    drawn.hand.select((10, 3), "Terrace")
    drawn.hand.press("Change its shape")
    return drawn.hand


def test_edge_is_bent_by_finger_to_a_true_arc_and_undone(drawn: Drawn) -> None:
    hand = in_hand(drawn)
    answer = hand.drawn(lambda: hand.drag((10, 12), (10.2, 21.8)))
    assert answer.status == 200
    # near half the chord it is half a circle: 240 + 100 π / 2 sq ft
    arc = segments(drawn.terrace.outline)[2]
    assert isinstance(arc, Arc)
    assert (arc.start, arc.end) == ((20, 12), (0, 12))
    assert arc.radius == pytest.approx(10)
    assert area(drawn.terrace.outline) == pytest.approx(240 + 50 * pi)
    expect(hand.page.locator("#margin-part dl.rows dd").first).to_have_text("397 sq ft")
    expect(hand.page.locator("#canvas .readout")).to_contain_text("radius 10'-0\"")
    with hand.page.expect_response(lambda one: one.url.endswith("/undo")):
        hand.page.locator("#undo button").tap()
    expect(hand.page.locator("#margin-part")).not_to_contain_text("397 sq ft")
    assert drawn.terrace.outline.wkt == TERRACE


def test_corner_is_dragged_onto_the_neighbors_corner_exactly_and_is_a_sketch_from_then(drawn: Drawn) -> None:
    hand = in_hand(drawn)
    hand.drawn(lambda: hand.drag((20, 0), (23.8, 0.3)))
    points = [piece.start for piece in segments(drawn.terrace.outline)]
    assert (24, 0.125) in points
    assert {(0, 0), (20, 12), (0, 12)} < set(points)
    assert drawn.terrace.measured is Measured.SKETCH
    assert drawn.hand.told.startswith("On a corner")


def test_corner_put_in_moved_and_taken_out(drawn: Drawn) -> None:
    hand = in_hand(drawn)
    hand.tap((10, 0))
    hand.drawn(lambda: hand.press("Put a corner here"))
    hand.drawn(lambda: hand.drag((10, 0), (10.1, -3.9)))
    assert (10, -4) in [piece.start for piece in segments(drawn.terrace.outline)]
    assert area(drawn.terrace.outline) == pytest.approx(240 + 40)
    hand.tap((10, -4))
    hand.drawn(lambda: hand.press("Take this corner out"))
    assert area(drawn.terrace.outline) == pytest.approx(240)


def test_crossing_outline_is_refused_kept_drawn_and_put_right(drawn: Drawn) -> None:
    hand = in_hand(drawn)
    answer = hand.drawn(lambda: hand.drag((20, 0), (4, 16)))
    assert answer.status == 422
    expect(hand.page.locator("#canvas-said")).to_contain_text("crosses or touches itself")
    assert drawn.terrace.outline.wkt == TERRACE
    line = hand.page.locator(".overlay [data-part=line]")
    expect(line).to_have_attribute("d", re.compile(r"^M0 0L4 16"))
    hand.drawn(lambda: hand.drag((4, 16), (22, 0)))
    expect(hand.page.locator("#canvas-said")).to_be_empty()
    assert (22, 0) in [piece.start for piece in segments(drawn.terrace.outline)]


def test_whole_zone_is_moved_and_stays_taped(drawn: Drawn) -> None:
    drawn.hand.select((10, 3), "Terrace")
    drawn.hand.press("Move it")
    drawn.hand.drawn(lambda: drawn.hand.drag((10, 3), (10, -2.1)))
    assert drawn.terrace.outline.wkt == "POLYGON ((0 -5, 20 -5, 20 7, 0 7, 0 -5))"
    assert drawn.terrace.measured is Measured.TAPED


def test_everything_by_keyboard(drawn: Drawn) -> None:
    page = drawn.hand.page
    canvas = page.locator("#canvas [data-view]")
    canvas.focus()
    page.keyboard.press("ArrowRight")
    expect(page.locator("#margin-part h2").first).to_contain_text("Terrace")
    drawn.hand.rests()
    page.keyboard.press("Enter")
    page.keyboard.press("PageDown")  # the first corner
    for _ in range(3):
        page.keyboard.press("Shift+ArrowLeft")
    page.keyboard.press("ArrowDown")
    drawn.hand.drawn(lambda: page.keyboard.press("Enter"))
    x, y = segments(drawn.terrace.outline)[0].start
    assert (x, y) == pytest.approx((-3, -1 / 12))
    page.keyboard.press("PageDown")  # the edge after it
    for _ in range(2):
        page.keyboard.press("Shift+ArrowDown")
    expect(page.locator("#canvas .told")).to_contain_text("radius")
    drawn.hand.drawn(lambda: page.keyboard.press("Enter"))
    assert isinstance(segments(drawn.terrace.outline)[0], Arc)
    page.keyboard.press("Escape")
    expect(page.locator("#canvas")).to_have_attribute("data-tool", "look")


def test_two_fingers_zoom_and_the_lettering_keeps_its_size(drawn: Drawn) -> None:
    hand = drawn.hand
    x, y = hand.px((10, 6))
    before = hand.px((11, 6))[0] - x
    hand.touch("touchStart", (x - 30, y), (x + 30, y))
    for step in range(1, 6):
        hand.touch("touchMove", (x - 30 - 12 * step, y), (x + 30 + 12 * step, y))
    hand.touch("touchEnd")
    hand.rests()
    after = hand.px((11, 6))[0] - hand.px((10, 6))[0]
    assert after > before * 1.5
    drawn_at = hand.page.locator("#drawing svg").evaluate(
        "svg => svg.getBoundingClientRect().width / svg.viewBox.baseVal.width"
    )
    assert 0.7 < drawn_at < 1.4


def test_page_never_scrolls_sideways(drawn: Drawn) -> None:
    page = drawn.hand.page
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    in_hand(drawn)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
