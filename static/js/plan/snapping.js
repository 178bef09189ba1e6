// Where a point that is being placed comes to lie: on a corner, an arc's center, an edge, square or parallel to what it
// hangs on, else on the step that is drawn to. Pure: points and edges in feet.

import { arcThrough, distance, nearestOn } from './arcs.js';
import { edgesOf } from './shape.js';

const STRAIGHT = 1e-9;

/** What can be caught: corners and arc centers as points, edges as they are. */
export function targetsOf(things, { but = null } = {}) {
  const points = [];
  const edges = [];
  for (const thing of things) {
    if (thing.key === but) continue;
    if (thing.at) points.push({ point: thing.at, kind: thing.catches ?? 'corner' });
    for (const ring of thing.rings ?? []) {
      points.push(...ring.points.map((point) => ({ point, kind: 'corner' })));
      for (const edge of edgesOf(ring)) {
        edges.push(edge);
        const arc = arcThrough(...edge);
        if (arc) points.push({ point: arc.center, kind: 'center' });
      }
    }
  }
  return { points, edges };
}

/** Lines on which a point lies square, parallel or in line: through `from`, along the directions of what is there. */
export function guidesFrom(from, directions) {
  return directions.flatMap((direction) => {
    const size = Math.hypot(...direction);
    if (size < STRAIGHT) return [];
    const [x, y] = [direction[0] / size, direction[1] / size];
    return [{ from, way: [x, y], kind: 'parallel' }, { from, way: [-y, x], kind: 'square' }];
  });
}

/**
 * Where `at` comes to lie. `reach` [ft] is how near it must be; `step` [ft] the grid (0: none).
 * Gives the point, what caught it (corner, center, crossing, edge, square, parallel, step or nothing), and the guides.
 */
export function snapped(at, { points = [], edges = [], guides = [], reach, step = 0 }) {
  const corner = nearest(at, points, reach, ({ point }) => point);
  if (corner) return { point: corner.point, kind: corner.kind, guides: [] };
  const near = guides.map((guide) => ({ ...guide, ...foot(at, guide) })).filter(({ away }) => away <= reach)
    .sort((a, b) => a.away - b.away);
  const crossing = crossingOf(near, at, reach);
  if (crossing) return crossing;
  const edge = nearestEdge(at, edges, reach);
  if (edge) return onGuide(edge, near, reach) ?? { point: edge.point, kind: 'edge', guides: [] };
  if (near.length) return alongGuide(near[0], step);
  if (!step) return { point: at, kind: '', guides: [] };
  return { point: at.map((value) => rounded(value, step)), kind: 'step', guides: [] };
}

export const rounded = (value, step) => (step ? Math.round(value / step) * step : value);

function nearest(at, items, reach, pointOf) {
  let found = null;
  let least = reach;
  for (const item of items) {
    const away = distance(at, pointOf(item));
    if (away <= least) [found, least] = [item, away];
  }
  return found;
}

function nearestEdge(at, edges, reach) {
  let found = null;
  for (const edge of edges) {
    const on = nearestOn(at, ...edge);
    if (on.away <= (found?.away ?? reach)) found = { ...on, edge };
  }
  return found;
}

function foot(at, { from, way }) {
  const along = (at[0] - from[0]) * way[0] + (at[1] - from[1]) * way[1];
  const point = [from[0] + along * way[0], from[1] + along * way[1]];
  return { along, point, away: distance(at, point) };
}

/** Two guides that cross near by hold a point on both. */
function crossingOf(near, at, reach) {
  for (const [place, one] of near.entries()) {
    for (const two of near.slice(place + 1)) {
      const cross = one.way[0] * two.way[1] - one.way[1] * two.way[0];
      if (Math.abs(cross) < 0.05 || distance(one.from, two.from) < STRAIGHT) continue;
      const [x, y] = [two.from[0] - one.from[0], two.from[1] - one.from[1]];
      const along = (x * two.way[1] - y * two.way[0]) / cross;
      const point = [one.from[0] + along * one.way[0], one.from[1] + along * one.way[1]];
      if (distance(at, point) <= reach) return { point, kind: one.kind, guides: [one, two] };
    }
  }
  return null;
}

/** Where a guide meets the edge that caught the point: on both. Straight edges only. */
function onGuide({ edge: [start, through, end] }, near, reach) {
  if (through) return null;
  for (const guide of near) {
    const [ex, ey] = [end[0] - start[0], end[1] - start[1]];
    const cross = guide.way[0] * ey - guide.way[1] * ex;
    if (Math.abs(cross) < 0.05 * Math.hypot(ex, ey)) continue;
    const share = (guide.way[0] * (guide.from[1] - start[1]) - guide.way[1] * (guide.from[0] - start[0])) / cross;
    const point = [start[0] + share * ex, start[1] + share * ey];
    if (share >= 0 && share <= 1 && distance(point, guide.point) <= reach) {
      return { point, kind: guide.kind, guides: [guide] };
    }
  }
  return null;
}

/** On a guide the length from where it begins goes by the step. */
function alongGuide(guide, step) {
  const along = rounded(guide.along, step);
  const point = [guide.from[0] + along * guide.way[0], guide.from[1] + along * guide.way[1]];
  return { point, kind: guide.kind, guides: [guide] };
}
