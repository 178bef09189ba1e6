// Finger, pen and mouse on the drawing, told apart: a tap, a drag of what was grabbed, moving the paper, pinching it.
// However often the pointer reports, what is drawn follows once a frame.

const SLOP = { mouse: 3, pen: 6, touch: 9 }; // px: less than this is a tap
export const REACH = { mouse: 10, pen: 16, touch: 24 }; // px: how near a point must be grabbed
const WHEEL = 1.0016;

/**
 * Listen on `element`. `to` says what to do:
 * grab(at, kind) → whether the pointer drags something; drag(at), drop(at), giveUp(); tap(at, kind); hover(at);
 * pan(dx, dy); zoom(factor, at); settle(). All places are px from the element's upper left corner.
 */
export function listen(element, to) {
  const pointers = new Map();
  let doing = ''; // '', 'press', 'drag', 'pan', 'pinch'
  let start = null;
  let grabbed = false;
  let waiting = null; // what the next frame does
  let frame = 0;

  const at = (event) => {
    const box = element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const later = (work) => {
    waiting = work;
    frame ||= requestAnimationFrame(flush);
  };
  function flush() {
    cancelAnimationFrame(frame);
    frame = 0;
    const work = waiting;
    waiting = null;
    work?.();
  }

  /**
   * The browser makes nothing of its own out of a touch here. Else it takes the lifting of a quick finger for a fling, and
   * swallows the next tap, wherever it is, as that which stops the fling. With that goes its focus, which is given here.
   */
  function mine(event) {
    event.preventDefault();
    element.focus({ preventScroll: true });
  }

  function down(event) {
    if (event.button > 1 && event.pointerType === 'mouse') return;
    pointers.set(event.pointerId, at(event));
    if (pointers.size === 2) { pinch(); return; }
    if (pointers.size > 2) return;
    start = { id: event.pointerId, at: at(event), kind: event.pointerType, last: at(event) };
    doing = 'press';
    grabbed = event.button !== 1 && to.grab(start.at, event.pointerType); // the middle button moves the paper
    if (grabbed) event.preventDefault();
  }

  function move(event) {
    if (!pointers.has(event.pointerId)) {
      if (event.pointerType !== 'touch' && !pointers.size) later(() => to.hover(at(event), event.pointerType));
      return;
    }
    const before = new Map(pointers);
    pointers.set(event.pointerId, at(event));
    if (doing === 'pinch') { later(() => spread(before)); return; }
    if (!start || event.pointerId !== start.id) return;
    if (doing === 'press' && far(at(event))) begin(event);
    if (doing === 'drag') later(() => to.drag(at(event), start.kind));
    if (doing === 'pan') later(() => shift(at(event)));
  }

  const far = ([x, y]) => Math.hypot(x - start.at[0], y - start.at[1]) > (SLOP[start.kind] ?? 6);

  function begin(event) {
    doing = grabbed ? 'drag' : 'pan';
    element.setPointerCapture(event.pointerId);
    element.dataset.doing = doing;
  }

  function shift([x, y]) {
    to.pan(x - start.last[0], y - start.last[1]);
    start.last = [x, y];
  }

  let held = null; // the two fingers as they lay at the last frame
  function pinch() {
    if (doing === 'drag' || grabbed) to.giveUp();
    grabbed = false;
    doing = 'pinch';
    held = twoOf(pointers);
    element.dataset.doing = 'pinch';
  }
  function spread() {
    const now = twoOf(pointers);
    if (!now || !held) return;
    to.pan(now.middle[0] - held.middle[0], now.middle[1] - held.middle[1]);
    if (held.apart > 0) to.zoom(now.apart / held.apart, now.middle);
    held = now;
  }

  function up(event) {
    if (!pointers.has(event.pointerId)) return;
    const place = at(event);
    if (doing === 'drag' || doing === 'pan') flush();
    pointers.delete(event.pointerId);
    if (doing === 'pinch') { unpinch(); return; }
    if (!start || event.pointerId !== start.id) return;
    if (doing === 'drag') to.drop(place, start.kind);
    else if (doing === 'press') to.tap(place, start.kind, event);
    else if (doing === 'pan') to.settle();
    rest();
  }

  function unpinch() {
    held = twoOf(pointers);
    to.settle();
    if (!pointers.size) rest();
  }

  function cancel(event) {
    if (!pointers.delete(event.pointerId)) return;
    if (doing === 'drag' || grabbed) to.giveUp();
    if (!pointers.size) rest();
  }

  function rest() {
    waiting = null;
    doing = '';
    start = null;
    grabbed = false;
    held = null;
    delete element.dataset.doing;
  }

  function wheel(event) {
    if (event.ctrlKey || event.metaKey || !event.shiftKey) {
      event.preventDefault();
      const by = event.deltaY * (event.deltaMode === 1 ? 16 : 1) * (event.ctrlKey ? 4 : 1);
      to.zoom(WHEEL ** -by, at(event));
      to.settle();
    }
  }

  element.addEventListener('touchstart', mine, { passive: false });
  element.addEventListener('pointerdown', down);
  element.addEventListener('pointermove', move);
  element.addEventListener('pointerup', up);
  element.addEventListener('pointercancel', cancel);
  element.addEventListener('wheel', wheel, { passive: false });
  return { busy: () => doing !== '' };
}

function twoOf(pointers) {
  if (pointers.size < 2) return null;
  const [[ax, ay], [bx, by]] = [...pointers.values()];
  return { middle: [(ax + bx) / 2, (ay + by) / 2], apart: Math.hypot(bx - ax, by - ay) };
}
