"""What a frame costs while something is dragged: a handful of attributes written, nothing made, nothing taken away."""

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
FRAME_MS = 1000 / 60
TOOK = """async ([id, from, to, moves, kind]) => {
  const view = document.querySelector('#canvas [data-view]');
  const send = (type, [clientX, clientY]) => view.dispatchEvent(new PointerEvent(type, { pointerId: id, pointerType: kind, isPrimary: true, bubbles: true, cancelable: true, clientX, clientY, button: 0, buttons: 1 }));
  view.setPointerCapture = () => {};
  send('pointerdown', from);
  const took = [];
  for (let step = 1; step <= moves; step += 1) {
    const share = step / moves;
    await new Promise((done) => {
      let began = 0;
      requestAnimationFrame(() => { began = performance.now(); }); // before what the canvas asks for in this frame
      send('pointermove', [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]);
      requestAnimationFrame(() => { view.getBoundingClientRect(); took.push(performance.now() - began); done(); }); // style and place worked out
    });
  }
  send('pointercancel', to);
  return took;
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


def box(n: int) -> tuple[int, int, int, int]:
    """Sixty places, ten in a row, two feet apart: west, south, east, north."""
    west, south = n % 10 * 12, n // 10 * 11
    return west, south, west + 10, south + 9


@pytest.fixture(scope="module")
def hand(chromium: Browser, tmp_path_factory: pytest.TempPathFactory):
    data = tmp_path_factory.mktemp("frames") / "data"
    zones = {f"Zone {n}": "POLYGON (({0} {1}, {2} {1}, {2} {3}, {0} {3}, {0} {1}))".format(*box(n)) for n in range(60)}
    job_id = begun(data, **zones)
    with serving(data) as server:
        context = touch_context(chromium, "laptop")
        hand = DrawingHand(context.new_page(), f"{server.address}/jobs/{job_id}/plan")
        hand.open()
        hand.page.evaluate(COUNTED)
        yield hand
        context.close()


def in_hand(hand: DrawingHand) -> None:
    """The shape of the first zone in hand, drawn to no step, so that it changes with every frame."""
    if hand.page.locator("#canvas").get_attribute("data-tool") == "reshape":
        return
    hand.page.locator("#canvas [data-view]").press("ArrowRight")
    hand.rests()
    hand.press("Change its shape")
    hand.page.locator("#canvas [data-step]").select_option("free")


def test_dragging_a_corner_writes_one_path_and_one_handle_a_frame(hand: DrawingHand) -> None:
    in_hand(hand)
    start, end = hand.px((0, 0)), hand.px((-4.9, -3.3))
    written = hand.page.evaluate(MOVED, [77, list(start), list(end), MOVES, "mouse"])
    assert any(one == "attributes d line" for one in written)
    assert not any(one.startswith("childList") and "OUTPUT" not in one for one in written), written
    assert len(written) <= MOST_DRAGGING * MOVES, written[:20]


def test_a_frame_costs_as_much_on_a_plan_of_sixty_zones_as_its_budget_leaves(hand: DrawingHand) -> None:
    """Of the 16.7 ms of a frame at sixty a second; the middle one of many counts, so that a busy machine is no fault."""
    in_hand(hand)
    start, end = hand.px((0, 0)), hand.px((-4.9, -3.3))
    took = sorted(hand.page.evaluate(TOOK, [79, list(start), list(end), MOVES, "mouse"]))
    assert took[len(took) // 2] < FRAME_MS, took


def test_moving_the_paper_writes_two_transforms_and_the_grid_a_frame(hand: DrawingHand) -> None:
    start, end = hand.px((50, 20)), hand.px((60, 30))
    written = hand.page.evaluate(MOVED, [78, list(start), list(end), MOVES, "touch"])
    assert MOVES <= len(written) <= MOST_MOVING_PAPER * MOVES, written[:20]
