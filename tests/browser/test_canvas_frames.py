"""What a frame costs while something is dragged: a handful of attributes written, nothing made, nothing taken away."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import touch_context
from tests.browser.drawing_hand import DrawingHand, begun
from tests.served import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
MOVES = 40
MOST_DRAGGING = 5  # the path, its handle, a guide, the words beside it, where they stand
MOST_MOVING_PAPER = 3  # the matrix of what is in hand, the transform of the drawing, the lines of the grid
COUNTED = """() => {
  window.written = [];
  new MutationObserver((records) => window.written.push(...records.map((one) => `${one.type} ${one.attributeName ?? ''} ${one.target.dataset?.part ?? one.target.nodeName}`)))
    .observe(document.querySelector('#canvas'), { subtree: true, attributes: true, childList: true, characterData: true });
}"""
MOVED = """async ([id, from, to, moves, kind]) => {
  const view = document.querySelector('#canvas [data-view]');
  const send = (type, [clientX, clientY]) => view.dispatchEvent(new PointerEvent(type, { pointerId: id, pointerType: kind, isPrimary: true, bubbles: true, cancelable: true, clientX, clientY, button: 0, buttons: 1 }));
  const frame = () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  view.setPointerCapture = () => {};
  send('pointerdown', from);
  send('pointermove', [from[0] + (to[0] - from[0]) * 0.3, from[1] + (to[1] - from[1]) * 0.3]);
  await frame();
  window.written.length = 0;
  for (let step = 0; step < moves; step += 1) {
    const share = 0.3 + (0.7 * step) / moves;
    send('pointermove', [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]);
    await frame();
  }
  const counted = window.written.slice();
  send('pointercancel', to);
  return counted;
}"""


@pytest.fixture
def hand(chromium: Browser, tmp_path: Path):
    data = tmp_path / "data"
    zones = {
        f"Zone {n}": f"POLYGON (({n * 12} 0, {n * 12 + 10} 0, {n * 12 + 10} 9, {n * 12} 9, {n * 12} 0))"
        for n in range(8)
    }
    job_id = begun(data, **zones)
    with serving(data) as server:
        context = touch_context(chromium, "laptop")
        hand = DrawingHand(context.new_page(), f"{server.address}/jobs/{job_id}/plan")
        hand.open()
        hand.page.evaluate(COUNTED)
        yield hand
        context.close()


def test_dragging_a_corner_writes_one_path_and_one_handle_a_frame(hand: DrawingHand) -> None:
    hand.select((5, 2), "Zone 0")
    hand.press("Change its shape")
    start, end = hand.px((10, 9)), hand.px((10.9, 15.3))
    written = hand.page.evaluate(MOVED, [77, list(start), list(end), MOVES, "mouse"])
    assert any(one == "attributes d line" for one in written)
    assert not any(one.startswith("childList") and "OUTPUT" not in one for one in written), written
    assert len(written) <= MOST_DRAGGING * MOVES, written[:20]


def test_moving_the_paper_writes_two_transforms_and_the_grid_a_frame(hand: DrawingHand) -> None:
    start, end = hand.px((50, 20)), hand.px((60, 30))
    written = hand.page.evaluate(MOVED, [78, list(start), list(end), MOVES, "touch"])
    assert MOVES <= len(written) <= MOST_MOVING_PAPER * MOVES, written[:20]
