// What is being drawn, above the server's drawing: a handful of paths in feet under one matrix, with pens that keep their
// width. Moving the paper writes one attribute; dragging a point writes one path, one handle and, where one caught it, a
// guide (tests/browser/test_canvas_frames.py counts them).

import { toPx } from './view.js';

const DOT = 'h.0001'; // a line of no length with round ends is a dot
const PARTS = ['fill', 'line', 'edges', 'edges-in', 'points', 'points-in', 'guide', 'handle'];
const TEXT_OFF = [16, -52]; // px
const TEXT_WIDE = 9.4; // px a sign, so that nothing is measured while dragging

const dots = (points) => points.map(([x, y]) => `M${x} ${y}${DOT}`).join('');
const strokes = (lines) => lines.map(([a, b]) => `M${a[0]} ${a[1]}L${b[0]} ${b[1]}`).join('');

export function overlayOn(element, readout) {
  const group = element.querySelector('[data-matrix]');
  const parts = Object.fromEntries(PARTS.map((name) => [name, group.querySelector(`[data-part="${name}"]`)]));
  const held = new Map();

  function write(name, path) {
    if (held.get(name) === path) return;
    held.set(name, path);
    parts[name].setAttribute('d', path);
  }
  function set(target, name, value) {
    if (target.getAttribute(name) !== value) target.setAttribute(name, value);
  }

  return {
    /** One attribute, however much is drawn. */
    place: (matrix) => set(group, 'transform', matrix),
    /** What is drawn while nothing is dragged; only what differs from the last time is written. */
    show({ path = '', points = [], edges = [], handle = null, guides = [], filled = true } = {}) {
      write('line', path);
      write('fill', filled && path.endsWith('Z') ? path : ''); // a line has nothing within
      for (const [name, places] of [['edges', edges], ['points', points]]) {
        write(name, dots(places));
        write(`${name}-in`, dots(places));
      }
      write('handle', handle ? dots([handle]) : '');
      write('guide', strokes(guides));
    },
    /** What follows a drag; the other handles are hidden by the style meanwhile. */
    drag({ path, handle = null, guides = [] }) {
      write('line', path);
      write('handle', handle ? dots([handle]) : '');
      write('guide', strokes(guides));
    },
    mark: (kind) => set(group, 'data-kind', kind),
    /** Words beside a point [ft]; none takes them away. */
    read(view, at = null, words = '') {
      if (readout.textContent !== words) {
        readout.textContent = words;
        readout.hidden = !words;
      }
      if (!at || !words) return;
      const [x, y] = toPx(view, at);
      const most = element.clientWidth - words.length * TEXT_WIDE - 2 * TEXT_OFF[0];
      const left = Math.max(Math.min(x + TEXT_OFF[0], most), 4);
      readout.style.transform = `translate(${Math.round(left)}px, ${Math.round(Math.max(y + TEXT_OFF[1], 4))}px)`;
    },
  };
}
