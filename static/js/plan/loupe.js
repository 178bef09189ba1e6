// A finger hides what it moves: a round glass in the corner shows the place under it at twice the size.

import { toPx } from './view.js';

const HALF = 33; // px of the drawing from the middle of the glass to its rim
const NEAR = 190; // px: a finger this near to the glass sends it to the other corner

export function loupeOn(window_, glass) {
  const base = glass.querySelector('[data-base]');
  let shown = false;

  /** The drawing in the glass is the very drawing below, used a second time. */
  function begin(view, drawing) {
    shown = true;
    const content = drawing?.svg.querySelector(':scope > g');
    if (content) {
      content.id = 'plan-content';
      const by = view.k / drawing.scale;
      const [x, y] = toPx(view, [drawing.west, drawing.north]);
      base.setAttribute('transform', `matrix(${by} 0 0 ${by} ${x} ${y})`);
    }
    window_.dataset.loupe = 'yes';
    glass.removeAttribute('hidden');
  }

  return {
    show(view, drawing, [x, y]) {
      if (!shown) begin(view, drawing);
      glass.setAttribute('viewBox', `${x - HALF} ${y - HALF} ${2 * HALF} ${2 * HALF}`);
      const side = x < NEAR && y < NEAR ? 'right' : 'left';
      if (glass.dataset.side !== side) glass.dataset.side = side;
    },
    hide() {
      if (!shown) return;
      shown = false;
      delete window_.dataset.loupe;
      glass.setAttribute('hidden', '');
    },
  };
}
