"""What a frame costs while a corner is dragged on a plan of 60 zones: of the 16.7 ms that a frame has at 60 a second.

Chromium without a window, as the browser tests drive it. From the finger's move to where script, style and place of
everything are worked out; the middle frame of many is held, so that a busy machine is no fault.
"""

import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from bench import Result
from bench.edit import ninety_fifth
from tests.browser.conftest import CHROMIUM, QUIET, touch_context
from tests.browser.drawing_hand import DrawingHand, begun
from tests.browser.test_canvas_frames import FRAME_MS, TOOK, box, in_hand
from tests.served import serving

ZONES, MOVES = 60, 120
OUTLINE = "POLYGON (({0} {1}, {2} {1}, {2} {3}, {0} {3}, {0} {1}))"


def run() -> list[Result]:
    if not CHROMIUM:
        return [Result(name="a frame while dragging: no Chromium here", value=0.0, unit="ms")]
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        job_id = begun(data, **{f"Zone {n}": OUTLINE.format(*box(n)) for n in range(ZONES)})
        with serving(data) as server, sync_playwright() as started:
            browser = started.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
            context = touch_context(browser, "laptop")
            hand = DrawingHand(context.new_page(), f"{server.address}/jobs/{job_id}/plan")
            hand.open()
            in_hand(hand)
            ends = [list(hand.px((0, 0))), list(hand.px((-4.9, -3.3)))]
            took = hand.page.evaluate(TOOK, [77, *ends, MOVES, "touch"])
            browser.close()
    name = f"a frame while dragging, {ZONES} zones"
    return [
        Result(name=f"{name}: median", value=statistics.median(took), unit="ms", most=FRAME_MS),
        Result(name=f"{name}: 95th", value=ninety_fifth(took), unit="ms", note="60 a second leave 16.7"),
    ]
