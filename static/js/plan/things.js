// What stands on the plan, as the server says it with each drawing: values to hit, to snap to and to change.

import { distance } from './arcs.js';
import { awayFrom, contains, ringOf, roughArea } from './shape.js';

const UNDRAWN = { scale: 12, west: -10, north: 40 }; // an empty sheet: a foot to 12 px, the datum near the lower left

/** The things, and how the drawing lies, from the figure the server drew. */
export function readPlan(figure) {
  const said = JSON.parse(figure.dataset.plan || '{}');
  const svg = figure.querySelector('svg');
  const { scale, west, north } = svg?.dataset ?? {};
  const things = new Map((said.things ?? []).map((one) => [one.key, thingOf(one)]));
  return {
    things,
    focus: said.focus ?? '',
    system: said.system ?? 'feet',
    north: said.north ?? 0,
    walls: said.walls ?? [],
    marks: (said.marks ?? []).map(({ at }) => ({ key: '', at, catches: 'mark' })),
    width: svg?.viewBox.baseVal.width ?? 0, // px: for which it was drawn, also where nothing is
    drawing: scale ? { svg, scale: Number(scale), west: Number(west), north: Number(north), ...sizeOf(svg) } : null,
    empty: UNDRAWN,
  };
}

/** Without the strip below the plan: north and scale are the window's own. */
function sizeOf(svg) {
  const { width, height } = svg.viewBox.baseVal;
  return { width, height: height - Number(svg.querySelector('[data-foot]')?.dataset.foot ?? 0) };
}

const thingOf = (one) => ({
  ...one,
  rings: (one.rings ?? []).map(({ points, through, closed }) => ringOf(points, { through, closed })),
});

const DRAWN_IN = { // the layer of the drawing a thing is seen in, where that has another name
  lot: 'there', house: 'there', existing: 'there', openings: 'there', features: 'things', dimensions: 'notes',
};
const seenIn = ({ layer }) => DRAWN_IN[layer] ?? layer;

/** The thing under a point [ft]: what stands at a point first, then lines, then the smallest area around it. */
export function hit(things, at, reach, hidden = new Set()) {
  const shown = [...things.values()].filter((one) => one.layer !== 'underlay' && !hidden.has(seenIn(one)));
  const near = shown.filter(({ at: own }) => own && distance(own, at) <= reach).sort((a, b) => distance(a.at, at) - distance(b.at, at));
  if (near.length) return near[0];
  const line = shown.find(({ rings }) => rings.length && !rings[0].closed && awayFrom(rings, at) <= reach);
  if (line) return line;
  const around = shown.filter(({ rings, layer }) => layer !== 'lot' && rings[0]?.closed && contains(rings, at));
  around.sort((one, two) => rank(one) - rank(two) || roughArea(one.rings[0]) - roughArea(two.rings[0]));
  return around[0] ?? shown.find(({ rings, layer }) => layer === 'lot' && awayFrom(rings, at) <= reach) ?? null;
}

const RANKS = { zones: 0, limits: 2 }; // an easement is met where nothing else lies
const rank = ({ layer }) => RANKS[layer] ?? 1;

/** The box around things [ft], or null where there is nothing. */
export function boxOf(things) {
  const points = [...things.values()].flatMap(({ rings, at }) => [...(at ? [at] : []), ...rings.flatMap((ring) => ring.points)]);
  if (!points.length) return null;
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
