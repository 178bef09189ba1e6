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
from tests.browser.drawing_hand import DrawingHand, begun_many, job_in
from tests.served import Server, serving

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


@pytest.fixture(scope="module")
def yards(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, Iterator[UUID]]]:
    """One server for all, and for each test a job that nobody has drawn on."""
    data = tmp_path_factory.mktemp("canvas") / "data"
    fresh = begun_many(data, 100, Terrace=TERRACE, Bed=BED)
    with serving(data) as server:
        yield server, iter(fresh)


@pytest.fixture(params=["laptop", "phone"])
def drawn(request: pytest.FixtureRequest, chromium: Browser, yards: tuple[Server, Iterator[UUID]]) -> Iterator[Drawn]:
    server, fresh = yards
    job_id = next(fresh)
    said: list[str] = []
    context = touch_context(chromium, request.param)
    page = context.new_page()
    page.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    hand = DrawingHand(page, f"{server.address}/jobs/{job_id}/plan")
    hand.open()
    if request.param == "laptop":  # a phone held upright has room above and below
        hand.further()
    yield Drawn(hand, server.data, job_id)
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
        hand.page.locator("#undo button").tap()  # at once: the finger that was lifted quickly has not flung the paper
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


def test_zone_is_drawn_by_taps_bent_and_closed_on_its_first_corner(drawn: Drawn) -> None:
    hand = drawn.hand
    hand.draw("Zone")
    for at in ((0, 14), (10, 14), (10, 22)):
        hand.tap(at)
    hand.tap((0, 22))
    hand.drag((10, 18), (13.9, 18.1))  # the middle of the second stretch: half a circle of 4 ft
    answer = hand.drawn(lambda: hand.tap((0, 14)))
    assert answer.status == 200
    expect(hand.page.locator("#margin-part h2").first).to_contain_text("New dining zone")
    job = drawn.job
    made = job.chosen(job.zones[-1])
    assert area(made.outline) == pytest.approx(80 + 8 * pi)
    assert [type(piece) is Arc for piece in segments(made.outline)] == [False, True, False, False]
    assert made.measured is Measured.SKETCH


def test_typed_lengths_draw_what_was_measured(drawn: Drawn) -> None:
    hand = drawn.hand
    hand.page.locator("#canvas [data-step]").select_option("taped")
    hand.draw("Zone")
    hand.tap((0, 20))
    for length, direction in (("12-6", "right"), ("8' 3\"", "90"), ("3.81 m", "left")):
        hand.page.get_by_label("Next length").fill(length)
        hand.page.get_by_label("Direction, 0° right, 90° up").fill(direction)
        hand.page.locator("#canvas .stretch").get_by_role("button", name="Draw it").click()
        expect(hand.page.get_by_label("Next length")).to_have_value("")
    assert hand.drawn(lambda: hand.press("Close it")).status == 200
    job = drawn.job
    made = job.chosen(job.zones[-1])
    assert area(made.outline) == pytest.approx(12.5 * 8.25)
    assert made.measured is Measured.TAPED


def test_length_that_is_none_is_said_and_stays_typed(drawn: Drawn) -> None:
    hand = drawn.hand
    hand.draw("Zone")
    hand.tap((0, 20))
    hand.page.get_by_label("Next length").fill("12 q")
    hand.page.locator("#canvas .stretch").get_by_role("button", name="Draw it").click()
    expect(hand.page.locator("#canvas-said")).to_contain_text("“12 q” is not understood as a length")
    expect(hand.page.get_by_label("Next length")).to_have_value("12 q")


def test_zone_is_drawn_by_keyboard_alone(drawn: Drawn) -> None:
    page = drawn.hand.page
    page.locator("#canvas [data-does=draw]").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")  # the first of what can be drawn: a zone
    expect(page.locator("#canvas [data-view]")).to_be_focused()
    page.keyboard.press("Enter")  # its first corner, in the middle of the window
    for key in ("ArrowRight", "ArrowUp", "ArrowLeft"):
        for _ in range(4):
            page.keyboard.press(f"Shift+{key}")
        page.keyboard.press("Enter")
    expect(page.locator("#canvas .told")).to_contain_text("Point 4")
    page.keyboard.press("Backspace")
    expect(page.locator("#canvas .told")).to_contain_text("taken back")
    answer = drawn.hand.drawn(lambda: page.keyboard.press("c"))
    assert answer.status == 200
    job = drawn.job
    assert area(job.chosen(job.zones[-1]).outline) == pytest.approx(8)


def test_line_tree_dimension_and_note_are_drawn(drawn: Drawn) -> None:
    hand, page = drawn.hand, drawn.hand.page
    hand.draw("Line")
    for at in ((0, 16), (16, 16)):
        hand.tap(at)
    hand.drawn(lambda: hand.press("That is all of it"))
    hand.draw("What is there now")
    page.get_by_label("What is there", exact=True).select_option(label="Tree")
    page.get_by_label("What happens to it").select_option(label="Keep it safe")
    hand.drawn(lambda: hand.tap((30, 16)))
    hand.draw("Dimension")
    hand.tap((0, 0))
    hand.tap((20, 0))
    hand.drawn(lambda: hand.tap((10, -3)))
    hand.draw("Note")
    page.get_by_label("The words of the note").fill("Keep the old step")
    hand.drawn(lambda: hand.drag((20, 6), (22, 14)))
    job = drawn.job
    assert job.runs[0].points == ((0, 16), (16, 16))
    assert (job.existing[0].kind, job.existing[0].fate, job.existing[0].x) == ("tree", "protected", 30)
    assert (job.dimensions[0].start, job.dimensions[0].end, job.dimensions[0].offset) == ((0, 0), (20, 0), -3)
    assert job.notes[0].words == "Keep the old step"
    assert job.notes[0].to is not None


def test_layers_are_hidden_and_stay_hidden(drawn: Drawn) -> None:
    hand, page = drawn.hand, drawn.hand.page
    zones = page.locator("#drawing [data-layer=zones]").first
    expect(zones).to_be_visible()
    hand.press("View")
    page.locator("#canvas [data-panel=view]").get_by_role("button", name="Zones", exact=True).click()
    expect(zones).to_be_hidden()
    hand.open()
    expect(page.locator("#drawing [data-layer=zones]").first).to_be_hidden()


def test_zone_is_split_by_a_drawn_line_and_bordered_and_squared(drawn: Drawn) -> None:
    hand, page = drawn.hand, drawn.hand.page
    hand.select((10, 3), "Terrace")
    hand.more("Split by a line")
    hand.tap((8, -2))
    hand.tap((8, 14))
    assert hand.drawn(lambda: hand.press("That is all of it")).status == 200
    job = drawn.job
    sizes = sorted(round(area(job.chosen(zone).outline)) for zone in job.zones)
    assert sizes == [96, 144, 158]
    hand.select((14, 3), "Terrace")
    hand.press("More")
    panel = page.locator("#canvas [data-panel=more]")
    panel.get_by_label("How wide").fill("1")
    panel.get_by_label("Border or bed").select_option(label="Border inside")
    assert hand.drawn(lambda: panel.get_by_role("button", name="Make it").click()).status == 200
    assert len(drawn.job.zones) == 4


def test_zone_is_turned_and_copied(drawn: Drawn) -> None:
    hand = drawn.hand
    hand.select((10, 3), "Terrace")
    hand.more("Turn")
    assert hand.drawn(lambda: hand.drag((18, 6), (10, 14))).status == 200
    assert {piece.start for piece in segments(drawn.terrace.outline)} == {(4, -4), (16, -4), (16, 16), (4, 16)}
    hand.more("Copy")
    assert hand.drawn(lambda: hand.drag((10, 6), (-6.1, 6))).status == 200
    assert len(drawn.job.zones) == 3


def test_house_is_drawn_and_its_door_dragged_along_the_wall(drawn: Drawn) -> None:
    hand, page = drawn.hand, drawn.hand.page
    hand.draw("What is there now")
    page.get_by_label("What is there", exact=True).select_option(label="House")
    for at in ((0, 14), (20, 14), (20, 20), (0, 20)):
        hand.tap(at)
    hand.drawn(lambda: hand.press("Close it"))
    hand.draw("What is there now")
    page.get_by_label("What is there", exact=True).select_option(label="Door or gate")
    hand.drawn(lambda: hand.tap((8.2, 14.3)))
    expect(page.locator("#margin-part h2").first).to_have_text("Door")
    assert (drawn.job.site.openings[0].x, drawn.job.site.openings[0].y) == pytest.approx((8, 14))
    hand.press("Move it")
    hand.drawn(lambda: hand.drag((8, 14), (15.2, 16.6)))
    moved = drawn.job.site.openings[0]
    assert (moved.x, moved.y) == pytest.approx((15, 14))
    assert hand.told.startswith("In its wall")
    page.locator("#canvas [data-view]").focus()
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("ArrowUp")
    hand.drawn(lambda: page.keyboard.press("Enter"))
    assert (drawn.job.site.openings[0].x, drawn.job.site.openings[0].y) == pytest.approx((16, 14))


def test_zone_is_split_by_a_line_with_many_points_and_a_bend(drawn: Drawn) -> None:
    hand = drawn.hand
    hand.select((10, 3), "Terrace")
    hand.more("Split by a line")
    for at in ((8, -2), (8, 4), (14, 4), (14, 14)):
        hand.tap(at)
    hand.drag((11, 4), (11.1, 1.1))  # its middle stretch: half a circle of 3 ft
    assert hand.drawn(lambda: hand.press("That is all of it")).status == 200
    job = drawn.job
    sizes = sorted(area(job.chosen(zone).outline) for zone in job.zones if zone.title.startswith("Terrace"))
    half = pi * 9 / 2
    assert sizes == pytest.approx(sorted([8 * 4 + 14 * 8 + half, 12 * 4 + 6 * 8 - half]))
    assert any(isinstance(piece, Arc) for piece in segments(job.chosen(job.zones[0]).outline))


def test_corner_is_caught_by_a_survey_mark(drawn: Drawn) -> None:
    drawn.hand.post("tape/mark/new", title="H1", x="-3.3", y="14.37", on_ground="1")
    hand = in_hand(drawn)
    hand.drawn(lambda: hand.drag((0, 12), (-3.1, 14.2)))
    assert (-3.3, 14.37) in [piece.start for piece in segments(drawn.terrace.outline)]
    assert hand.told.startswith("On a survey mark")


def test_panel_of_a_tool_never_lies_on_the_drawing_and_can_be_lowered(drawn: Drawn) -> None:
    hand, page = drawn.hand, drawn.hand.page
    hand.draw("Zone")
    view, panel = page.locator("#canvas [data-view]"), page.locator("#canvas [data-panel=stretch]")

    def overlap() -> float:
        above, below = view.bounding_box(), panel.bounding_box()
        return above["y"] + above["height"] - below["y"]

    assert overlap() <= 1
    tall = view.bounding_box()["height"]
    hand.press("Details")
    expect(panel).to_be_hidden()
    assert view.bounding_box()["height"] > tall + 40
    hand.tap((0, 14))
    hand.press("Details")
    expect(panel).to_be_visible()
    assert overlap() <= 1
    assert 0 < hand.px((0, 0))[1] - view.bounding_box()["y"] < view.bounding_box()["height"]


def test_list_of_tools_goes_when_the_drawing_is_touched(drawn: Drawn) -> None:
    hand, page = drawn.hand, drawn.hand.page
    hand.press("Draw")
    expect(page.locator("#canvas [data-panel=draw]")).to_be_visible()
    hand.tap((10, 14))
    expect(page.locator("#canvas [data-panel=draw]")).to_be_hidden()


@pytest.mark.parametrize("size", ["laptop", "tablet", "phone"])
def test_every_tool_of_the_strip_is_within_it(
    chromium: Browser, yards: tuple[Server, Iterator[UUID]], size: str
) -> None:
    server, fresh = yards
    context = touch_context(chromium, size)
    hand = DrawingHand(context.new_page(), f"{server.address}/jobs/{next(fresh)}/plan")
    hand.open()
    hand.select((10, 3), "Terrace")
    strip = hand.page.locator("#canvas .strip")
    box = strip.bounding_box()
    for button in strip.locator("button:visible, select:visible, a:visible").all():
        own = button.bounding_box()
        assert own["x"] >= box["x"], button.inner_text()
        assert own["x"] + own["width"] <= box["x"] + box["width"] + 0.5, button.inner_text()
        assert button.evaluate("one => (row => !row || row.scrollWidth <= row.clientWidth)(one.closest('[data-bar]'))")
    context.close()


def test_dimensions_of_the_whole_plan_have_room_in_the_window_of_a_phone(
    chromium: Browser, yards: tuple[Server, Iterator[UUID]]
) -> None:
    server, fresh = yards
    context = touch_context(chromium, "phone")
    hand = DrawingHand(context.new_page(), f"{server.address}/jobs/{next(fresh)}/plan")
    hand.open()
    page = hand.page
    scale = float(page.locator("#drawing svg").get_attribute("data-scale") or 0)
    foot = hand.px((1, 0))[0] - hand.px((0, 0))[0]
    assert foot == pytest.approx(scale, rel=0.02)  # drawn as large as it is seen, so that lettering keeps its size
    left = page.locator("#canvas [data-view]").bounding_box()["x"]
    figures = [one for one in page.locator("#drawing text.figures").all() if "'-0" in (one.text_content() or "")]
    assert figures
    assert all(one.bounding_box()["x"] >= left + 5 for one in figures)
    context.close()


def test_north_and_scale_stay_in_the_window_and_are_true_however_near(drawn: Drawn) -> None:
    hand, page = drawn.hand, drawn.hand.page
    hand.press("View")
    for _ in range(4):
        page.get_by_role("button", name="Nearer").tap()
    hand.rests()
    foot = hand.px((1, 0))[0] - hand.px((0, 0))[0]
    bar = page.locator(".bearings .rim").bounding_box()["width"]
    said = page.locator(".bearings [data-end]").text_content() or ""
    assert bar / foot == pytest.approx(float(said.removesuffix(" ft")), abs=0.2)
    window, bearings = page.locator("#canvas [data-view]").bounding_box(), page.locator(".bearings").bounding_box()
    assert window["y"] < bearings["y"] < window["y"] + window["height"] - bearings["height"] + 1
    expect(page.locator("#drawing [data-foot]")).to_be_hidden()
