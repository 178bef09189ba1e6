// How the plan lies in the window: `k` px per foot, the datum at `x`, `y` px. Feet run north, pixels down.

export const LEAST_K = 0.5;
export const MOST_K = 240;

export const toPx = (view, [x, y]) => [view.x + view.k * x, view.y - view.k * y];
export const toFeet = (view, [x, y]) => [(x - view.x) / view.k, (view.y - y) / view.k];
export const matrixOf = ({ k, x, y }) => `matrix(${k} 0 0 ${-k} ${x} ${y})`;
export const panned = (view, dx, dy) => ({ ...view, x: view.x + dx, y: view.y + dy });

/** Nearer or further by a factor, the point under `at` [px] staying where it is. */
export function zoomed(view, factor, [px, py]) {
  const k = Math.min(Math.max(view.k * factor, LEAST_K), MOST_K);
  const by = k / view.k;
  return { k, x: px + (view.x - px) * by, y: py + (view.y - py) * by };
}

/** The view that shows a box in feet (west, south, east, north) in a window of `width` × `height` px. */
export function fitted([west, south, east, north], width, height) {
  const across = Math.max(east - west, 1);
  const up = Math.max(north - south, 1);
  const k = Math.min(Math.max(Math.min(width / across, height / up), LEAST_K), MOST_K);
  return { k, x: width / 2 - (k * (west + east)) / 2, y: height / 2 + (k * (south + north)) / 2 };
}

/** The transform that lays the server's drawing (its scale, the feet at its left and top edge) under the view. */
export function drawingTransform(view, { scale, west, north }) {
  const [x, y] = toPx(view, [west, north]);
  return `translate(${x}px, ${y}px) scale(${view.k / scale})`;
}
