// A signature drawn with finger, pen or mouse: strokes (what is kept) and a picture (what is shown) go with the form.
import SignaturePad from 'signature_pad';

const pads = new WeakMap();

function prepare(canvas) {
  if (pads.has(canvas)) return;
  const frame = canvas.closest('[data-signature-frame]');
  const pad = new SignaturePad(canvas, { penColor: '#1d2a26', minWidth: 0.9, maxWidth: 2.4, throttle: 8 });
  pads.set(canvas, pad);
  const write = () => {
    const empty = pad.isEmpty();
    const strokes = pad.toData().map(({ points }) => points.map(({ x, y }) => [round(x), round(y)]));
    frame.querySelector('input[data-strokes]').value = empty ? '' : JSON.stringify(strokes);
    const picture = frame.querySelector('input[data-picture]');
    if (picture) picture.value = empty ? '' : pad.toDataURL('image/png');
  };
  pad.addEventListener('endStroke', write);
  frame.querySelector('[data-clear]')?.addEventListener('click', () => { pad.clear(); write(); });
  new ResizeObserver(() => fit(canvas, pad)).observe(canvas);
}

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
