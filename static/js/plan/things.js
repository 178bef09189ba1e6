// What stands on the plan, as the server says it with each drawing: values to hit, to snap to and to change.

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
    drawing: scale ? { svg, scale: Number(scale), west: Number(west), north: Number(north), ...sizeOf(svg) } : null,
    empty: UNDRAWN,
  };
}

const sizeOf = (svg) => ({ width: svg.viewBox.baseVal.width, height: svg.viewBox.baseVal.height });

const thingOf = (one) => ({
  ...one,
  rings: (one.rings ?? []).map(({ points, through, closed }) => ringOf(points, { through, closed })),
});

/** The thing under a point [ft]: what stands at a point first, then lines, then the smallest area around it. */
export function hit(things, at, reach) {
  const shown = [...things.values()].filter(({ layer }) => layer !== 'underlay');
  const near = shown.filter(({ at: own }) => own && Math.hypot(own[0] - at[0], own[1] - at[1]) <= reach);
  if (near.length) return near[0];
  const line = shown.find(({ rings }) => rings.length && !rings[0].closed && awayFrom(rings, at) <= reach);
  if (line) return line;
  const around = shown.filter(({ rings, layer }) => layer !== 'lot' && rings[0]?.closed && contains(rings, at));
  around.sort((one, two) => rank(one) - rank(two) || roughArea(one.rings[0]) - roughArea(two.rings[0]));
  return around[0] ?? shown.find(({ rings, layer }) => layer === 'lot' && awayFrom(rings, at) <= reach) ?? null;
}

const rank = ({ layer }) => (layer === 'zones' ? 0 : 1);

/** The box around things [ft], or null where there is nothing. */
export function boxOf(things) {
  const points = [...things.values()].flatMap(({ rings, at }) => [...(at ? [at] : []), ...rings.flatMap((ring) => ring.points)]);
  if (!points.length) return null;
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
