// A signature drawn with finger, pen or mouse: strokes (what is kept) and a picture (what is shown) go with the form.
import SignaturePad from 'signature_pad';

const pads = new WeakMap();
const INK = '#1d2a26';
const WIDTHS = { minWidth: 0.9, maxWidth: 2.4 };

function prepare(canvas) {
  if (pads.has(canvas)) return;
  const frame = canvas.closest('[data-signature-frame]');
  const pad = new SignaturePad(canvas, { penColor: INK, ...WIDTHS, throttle: 8 });
  pads.set(canvas, pad);
  const write = () => {
    const empty = pad.isEmpty();
    const strokes = pad.toData().map(({ points }) => points.map(({ x, y }) => [round(x), round(y)]));
    frame.querySelector('input[data-strokes]').value = empty ? '' : JSON.stringify(strokes);
    const picture = frame.querySelector('input[data-picture]');
    if (picture) picture.value = empty ? '' : pad.toDataURL('image/png');
  };
  pad.addEventListener('endStroke', write);
  let again = drawn(frame.querySelector('input[data-strokes]').value); // refused for something else: not drawn twice
  frame.querySelector('[data-clear]')?.addEventListener('click', () => { pad.clear(); write(); });
  new ResizeObserver(() => {
    fit(canvas, pad);
    if (!again.length) return;
    pad.fromData(again);
    again = [];
    write();
  }).observe(canvas);
}

/** Strokes as they were sent, as the pad takes them. */
const drawn = (text) => (text ? JSON.parse(text) : []).map((points) => (
  { penColor: INK, ...WIDTHS, points: points.map(([x, y], at) => ({ x, y, pressure: 0.5, time: at * 16 })) }
));

const round = (number) => Math.round(number * 10) / 10;

/** The canvas has one pixel for each of the screen's; what was drawn is kept when its size changes. */
function fit(canvas, pad) {
  const ratio = Math.max(window.devicePixelRatio || 1, 1);
  const width = Math.round(canvas.offsetWidth * ratio);
  const height = Math.round(canvas.offsetHeight * ratio);
  if (!width || (canvas.width === width && canvas.height === height)) return;
  const drawn = pad.toData();
  canvas.width = width;
  canvas.height = height;
  canvas.getContext('2d').scale(ratio, ratio);
  pad.clear();
  pad.fromData(drawn);
}

const prepareAll = (root) => root.querySelectorAll?.('canvas[data-signature]').forEach(prepare);
prepareAll(document);
document.addEventListener('htmx:load', (event) => prepareAll(event.detail.elt));
