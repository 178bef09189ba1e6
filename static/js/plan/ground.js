// What the window itself shows however near the plan is: the grid without an end below it, north and a scale above it.

const FOOT = 0.3048; // m
const STEPS = [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500]; // ft or m
const APART = 36; // px: lines of the grid, at least
const SEGMENTS = [0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10, 25, 50, 100, 250]; // ft or m, a quarter of the scale
const SEGMENT = 22; // px at least

const firstOf = (sizes, unit, least) => sizes.find((one) => one * unit >= least) ?? sizes.at(-1);
const unitOf = (view, system) => (system === 'metric' ? view.k / FOOT : view.k); // px

/** How far apart the lines of the grid are in px, and the first ones right of and below the upper left corner. */
export function gridOf(view, system) {
  const unit = unitOf(view, system);
  const apart = firstOf(STEPS, unit, APART) * unit;
  return { apart, x: ((view.x % apart) + apart) % apart, y: ((view.y % apart) + apart) % apart };
}

/** The grid as path data for a window: whole pixels, so that lines stay thin. */
export function gridPath(view, system, [width, height]) {
  const { apart, x, y } = gridOf(view, system);
  const at = (first, most) => Array.from({ length: Math.max(Math.ceil((most - first) / apart), 0) }, (_, n) => Math.round(first + n * apart) + 0.5);
  return at(x, width).map((one) => `M${one} 0V${height}`).join('') + at(y, height).map((one) => `M0 ${one}H${width}`).join('');
}

/** A quarter of the graphic scale in px, and what its end says. */
export function scaleOf(view, system) {
  const unit = unitOf(view, system);
  const one = firstOf(SEGMENTS, unit, SEGMENT);
  return { segment: one * unit, words: `${Number((4 * one).toFixed(2))} ${system === 'metric' ? 'm' : 'ft'}` };
}

/** `grid` and `bearings` are what is drawn on. */
export function groundOn(grid, bearings) {
  const [needle, scale] = [bearings.querySelector('[data-needle]'), bearings.querySelector('.scale')];
  const bars = [...scale.querySelectorAll('rect')];
  const end = scale.querySelector('[data-end]');
  let drawn = '';

  function drawScale({ segment, words }) {
    const told = `${segment} ${words}`;
    if (told === drawn) return;
    drawn = told;
    scale.setAttribute('width', String(Math.ceil(4 * segment) + 2));
    bars.forEach((bar, place) => {
      bar.setAttribute('x', String(1 + (place < 4 ? place * segment : 0)));
      bar.setAttribute('width', String(place < 4 ? segment : 4 * segment));
    });
    end.setAttribute('x', String(1 + 4 * segment));
    end.textContent = words;
  }

  return {
    /** One path a frame; the scale is written when the plan comes nearer or goes further away. */
    lay(view, system, size) {
      grid.setAttribute('d', gridPath(view, system, size));
      drawScale(scaleOf(view, system));
    },
    point: (north) => needle.setAttribute('transform', `rotate(${north})`),
  };
}
