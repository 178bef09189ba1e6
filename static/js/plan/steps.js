// How far things go at a time: the arrow keys an inch, with Shift a foot; bent edges by whole radii.

import { rounded } from './snapping.js';

const INCH = 1 / 12;
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** How far an arrow key moves what is in hand [ft east, ft north]; null for any other key. */
export function nudged({ key, shiftKey }) {
  const way = WAYS[key];
  return way ? way.map((one) => one * (shiftKey ? 1 : INCH)) : null;
}

/** A rise whose radius goes by the step; near nothing it is straight, near half the chord half a circle. */
export function roundRise(rise, half, reach, step) {
  const size = Math.abs(rise);
  if (size < reach / 2) return 0;
  if (Math.abs(size - half) < reach / 2) return Math.sign(rise) * half;
  if (!step) return rise;
  const radius = Math.max(rounded((half * half + size * size) / (2 * size), step), half);
  const low = radius - Math.sqrt(radius * radius - half * half);
  return Math.sign(rise) * (size <= half ? low : 2 * radius - low);
}
