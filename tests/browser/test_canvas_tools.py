"""Each tool of the plan by finger on a phone and by keys alone on a laptop: what came of it lies exactly so on the disk."""

import base64
import io
from collections.abc import Iterator
from itertools import pairwise
from math import atan2, degrees, pi
from uuid import UUID

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect

from app.domain.plan.arcs import Arc
from app.domain.plan.measures import area
from app.domain.plan.outline import segments
from tests.browser.conftest import touch_context
from tests.browser.drawing_hand import DrawingHand, begun_many, job_in
from tests.served import Server, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
TERRACE = "POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"
TAKE_IN = """async ([address, bytes]) => {
  const body = new FormData();
  body.append('file', new Blob([Uint8Array.from(atob(bytes), (one) => one.charCodeAt(0))], { type: 'image/png' }), 'plat.png');
  body.append('title', 'Plat of survey');
  body.append('change_id', crypto.randomUUID());
  const headers = { 'X-Outlay-Token': document.querySelector('meta[name="token"]').content, 'HX-Request': 'true' };
  return (await fetch(address, { method: 'POST', headers, body })).status;
}"""


class Hand(DrawingHand):
    """A hand that knows where its job lies."""

    def __init__(self, page, server: Server, job_id: UUID) -> None:
        super().__init__(page, f"{server.address}/jobs/{job_id}/plan")
        self._where = server.data, job_id

    @property
    def job(self):
        return job_in(*self._where)

    @property
    def outlines(self) -> dict[str, object]:
        """What each zone has as its outline, by title."""
        job = self.job
        return {zone.title: job.chosen(zone).outline for zone in job.zones}

    def keys(self, *keys: str) -> None:
        """Keys pressed on the drawing, one after another; `Shift+ArrowRight*4` four times."""
        self.page.locator("#canvas [data-view]").focus()
        for key in keys:
            one, _, times = key.partition("*")
            for _ in range(int(times or 1)):
                self.page.keyboard.press(one)

    def key_to(self, opener: str, place: int) -> None:
        """A button opened by keys, then the one at a place of its list."""
        self.page.locator(f"#canvas .strip [data-does={opener}]:visible").focus()
        self.page.keyboard.press("Enter")
        for _ in range(place):
            self.page.keyboard.press("Tab")
        self.page.keyboard.press("Enter")


@pytest.fixture(scope="module")
def yards(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, Iterator[UUID]]]:
    data = tmp_path_factory.mktemp("tools") / "data"
    fresh = begun_many(data, 30, Terrace=TERRACE)
    with serving(data) as server:
        yield server, iter(fresh)


def opened(chromium: Browser, yards: tuple[Server, Iterator[UUID]], size: str) -> Iterator[Hand]:
    server, fresh = yards
    context = touch_context(chromium, size)
    page = context.new_page()
    said: list[str] = []
    page.on("pageerror", lambda error: said.append(str(error)))
    hand = Hand(page, server, next(fresh))
    hand.open()
    hand.further()
    yield hand
    context.close()
    assert said == []


@pytest.fixture
def finger(chromium: Browser, yards: tuple[Server, Iterator[UUID]]) -> Iterator[Hand]:
    yield from opened(chromium, yards, "phone")


@pytest.fixture
def keys(chromium: Browser, yards: tuple[Server, Iterator[UUID]]) -> Iterator[Hand]:
    yield from opened(chromium, yards, "laptop")


def there(hand: Hand, what: str, fate: str = "It stays") -> None:
    hand.draw("What is there now")
    hand.page.get_by_label("What is there", exact=True).select_option(label=what)
    hand.page.get_by_label("What happens to it").select_option(label=fate)


def test_lot_fence_that_goes_and_thing_by_finger(finger: Hand) -> None:
    there(finger, "Lot line")
    for at in ((-3, -5), (24, -5), (24, 17), (-3, 17)):
        finger.tap(at)
    finger.drawn(lambda: finger.press("Close it"))
    there(finger, "Fence", "It goes")
    for at in ((-3, 15), (20, 15)):
        finger.tap(at)
    finger.drawn(lambda: finger.press("That is all of it"))
    finger.draw("Thing")
    finger.drawn(lambda: finger.tap((10, 6)))
    expect(finger.page.locator("#margin-part h2").first).to_contain_text("New thing")
    job = finger.job
    assert area(job.site.lot) == 27 * 22
    assert (job.existing[0].kind, job.existing[0].fate) == ("fence", "goes")
    assert (job.features[0].x, job.features[0].y) == (10, 6)


def test_split_zone_is_joined_again_by_finger_and_grown(finger: Hand) -> None:
    finger.select((10, 3), "Terrace")
    finger.more("Split by a line")
    for at in ((8, -2), (8, 14)):
        finger.tap(at)
    finger.drawn(lambda: finger.press("That is all of it"))
    finger.select((14, 3), "Terrace")
    finger.more("Join a zone to it")
    finger.drawn(lambda: finger.tap((4, 3)))
    (whole,) = finger.outlines.values()
    assert area(whole) == 240
    finger.press("More")
    panel = finger.page.locator("#canvas [data-panel=more]")
    panel.get_by_label("How wide").fill("2")
    panel.get_by_label("Border or bed").select_option(label="Grow it")
    finger.drawn(lambda: panel.get_by_role("button", name="Make it").tap())
    (whole,) = finger.outlines.values()
    assert area(whole) == pytest.approx(24 * 16)


def test_corners_fall_square_and_stretches_parallel_by_finger(finger: Hand) -> None:
    finger.further()
    finger.page.locator("#canvas [data-step]").select_option("free")
    finger.draw("Zone")
    for at in ((0, 14.5), (6, 17.5), (4.4, 21), (-1.6, 17.9)):  # slanted; then nearly square, nearly parallel
        finger.tap(at)
    finger.drawn(lambda: finger.press("Close it"))
    outline = finger.outlines["New dining zone"]
    ways = [degrees(atan2(piece.end[1] - piece.start[1], piece.end[0] - piece.start[0])) for piece in segments(outline)]
    turns = [(after - before) % 180 for before, after in pairwise(ways)]
    assert turns == pytest.approx([90, 90, 90], abs=1e-6)
    assert ways[0] % 90 > 20  # not to the edges of the sheet


def test_picture_below_is_scaled_by_two_points_and_turned_to_north(finger: Hand) -> None:
    bytes_ = io.BytesIO()
    Image.new("RGB", (600, 400), "white").save(bytes_, "PNG")
    sent = base64.b64encode(bytes_.getvalue()).decode()
    assert finger.page.evaluate(TAKE_IN, [f"{finger.plan}/underlay/new", sent]) == 200
    picture = finger.job.underlays[0]
    finger.page.goto(f"{finger.plan}?focus=underlay:{picture.id}")
    finger.rests()
    finger.press("Scale it")
    for at in ((2, 2), (22, 2)):
        finger.tap(at)
    finger.page.get_by_label("How far apart", exact=True).fill("40")
    finger.page.get_by_label("Direction of the second, if known").fill("up")
    finger.drawn(lambda: finger.page.locator("#canvas [data-panel=known]").get_by_role("button", name="Scale it").tap())
    scaled = finger.job.underlays[0]
    assert scaled.scale == pytest.approx(picture.scale * 2)
    assert scaled.known_length == pytest.approx(40)
    assert (scaled.turn - picture.turn) % 360 == pytest.approx(270)  # to the left by a quarter


LINE, THING, THERE, EASEMENT, DIMENSION, NOTE = range(1, 7)  # places in the list of what can be drawn
COPY, TURN, SPLIT, JOIN, SQUARE, WIDTH = range(6)  # and of what is done with a zone


def test_line_thing_dimension_easement_and_note_by_keys(keys: Hand) -> None:
    keys.key_to("draw", LINE)
    keys.keys("Enter", "Shift+ArrowRight*6", "Enter", "Shift+ArrowUp*2")
    keys.drawn(lambda: keys.keys("Enter*2"))
    keys.key_to("draw", THING)
    keys.keys("Shift+ArrowDown*3", "ArrowRight*6")
    keys.drawn(lambda: keys.keys("Enter"))
    keys.key_to("draw", DIMENSION)
    keys.keys("Enter", "Shift+ArrowRight*5", "Enter", "Shift+ArrowDown*2")
    keys.drawn(lambda: keys.keys("Enter"))
    keys.key_to("draw", EASEMENT)
    keys.keys("Enter", "Shift+ArrowRight*6", "Enter", "Shift+ArrowUp*2", "Enter")
    keys.drawn(lambda: keys.keys("c"))
    keys.key_to("draw", NOTE)
    keys.page.get_by_label("The words of the note").fill("Gate code from the client")
    keys.drawn(lambda: keys.keys("Shift+ArrowUp", "Enter"))
    job = keys.job
    (x, y), *_ = points = job.runs[0].points
    assert points == ((x, y), (x + 6, y), (x + 6, y + 2))
    assert job.features[0].y == pytest.approx(y - 3)
    assert job.features[0].x == pytest.approx(x + 0.5)
    dimension = job.dimensions[0]
    assert dimension.end[0] - dimension.start[0] == 5
    assert abs(dimension.offset) == pytest.approx(2)
    assert area(job.easements[0].outline) == pytest.approx(6 * 2 / 2)
    assert job.notes[0].words == "Gate code from the client"


def test_house_door_lot_and_tree_by_keys(keys: Hand) -> None:
    def begin(what: str, fate: str = "It stays") -> None:
        keys.key_to("draw", THERE)
        keys.page.get_by_label("What is there", exact=True).select_option(label=what)
        keys.page.get_by_label("What happens to it").select_option(label=fate)

    for what, long in (("House", 8), ("Lot line", 12)):
        begin(what)
        sides = (f"Shift+Arrow{way}*{long}" for way in ("Right", "Up", "Left"))
        keys.keys("Enter", *(key for side in sides for key in (side, "Enter")))
        keys.drawn(lambda: keys.keys("c"))
    begin("Door or gate")
    keys.drawn(lambda: keys.keys("Shift+ArrowRight*3", "Enter"))
    begin("Tree", "Keep it safe")
    keys.drawn(lambda: keys.keys("Shift+ArrowLeft*6", "Enter"))
    begin("Shrub", "It goes")
    keys.drawn(lambda: keys.keys("Shift+ArrowLeft*4", "Enter"))
    job = keys.job
    assert (area(job.site.house), area(job.site.lot)) == (64, 144)
    door = job.site.openings[0]
    assert any(
        min(abs(door.x - piece.start[0]), abs(door.y - piece.start[1])) < 1e-9 for piece in segments(job.site.house)
    )
    assert {one.kind: one.fate for one in job.existing} == {"tree": "protected", "shrub": "goes"}


def test_zone_is_split_joined_turned_copied_and_bordered_by_keys(keys: Hand) -> None:
    keys.keys("ArrowRight")
    keys.rests()
    keys.key_to("more", SPLIT)
    keys.keys("Enter", "Shift+ArrowUp*2", "Enter")  # its ends run on to the edge
    keys.drawn(lambda: keys.keys("Enter"))
    assert len(keys.outlines) == 2
    keys.key_to("more", JOIN)
    keys.keys("ArrowRight")
    expect(keys.page.locator("#canvas .told")).to_contain_text("Terrace")
    keys.drawn(lambda: keys.keys("Enter"))
    (whole,) = keys.outlines.values()
    assert area(whole) == pytest.approx(240)
    keys.key_to("more", TURN)
    keys.keys("Shift+ArrowLeft*6")  # a quarter
    keys.drawn(lambda: keys.keys("Enter"))
    (turned,) = keys.outlines.values()
    xs = [piece.start[0] for piece in segments(turned)]
    assert max(xs) - min(xs) == pytest.approx(12)
    keys.key_to("more", COPY)
    keys.keys("Shift+ArrowRight*20")
    keys.drawn(lambda: keys.keys("Enter"))
    assert len(keys.job.zones) == 2
    keys.key_to("more", WIDTH)
    keys.page.keyboard.type("1")
    keys.page.get_by_label("Border or bed").select_option(label="Border inside")
    keys.page.get_by_role("button", name="Make it").focus()
    keys.drawn(lambda: keys.page.keyboard.press("Enter"))
    job = keys.job
    assert sorted(round(area(job.chosen(zone).outline)) for zone in job.zones) == [60, 180, 240]


def test_next_thing_typed_goes_to_what_was_drawn_last(keys: Hand) -> None:
    """A zone drawn by keys is the one in focus: Enter takes its shape in hand, and its first corner moves."""
    keys.key_to("draw", 0)
    keys.keys("Enter", "Shift+ArrowRight*4", "Enter", "Shift+ArrowUp*4", "Enter", "Shift+ArrowLeft*4", "Enter")
    keys.drawn(lambda: keys.keys("c"))
    keys.keys("Enter", "PageDown", "Shift+ArrowLeft*2")
    keys.drawn(lambda: keys.keys("Enter"))
    assert area(keys.outlines["New dining zone"]) == pytest.approx(16 + 4)
    assert keys.outlines["Terrace"].wkt == TERRACE


def test_house_with_a_bay_by_typed_lengths_and_directions(keys: Hand) -> None:
    there(keys, "House")
    keys.keys("Enter")
    for length, direction in (("10", "right"), ("8", "90"), ("10", "180")):
        keys.page.get_by_label("Next length").fill(length)
        keys.page.get_by_label("Direction, 0° right, 90° up").fill(direction)
        keys.page.keyboard.press("Enter")
        expect(keys.page.get_by_label("Next length")).to_have_value("")
    keys.drawn(lambda: keys.keys("c"))
    keys.keys("Enter", "PageDown*2", "Shift+ArrowDown*5")  # the middle of its first edge: half a circle
    keys.drawn(lambda: keys.keys("Enter"))
    house = keys.job.site.house
    assert any(isinstance(piece, Arc) for piece in segments(house))
    assert area(house) == pytest.approx(80 + pi * 25 / 2)
