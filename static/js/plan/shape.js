// What is drawn, as values: rings of points with arcs between them. Every way to change one gives back a new ring;
// what is not touched keeps its numbers to the last digit.
//
// ring = { points: [[x, y], …], through: [null | [x, y], …], closed }: `through[i]` belongs to the edge that leaves point i.

import { arcThrough, bulgeOf, distance, edgePath, lengthOf, middleOf, nearestOn, pointOn, throughOfRise } from './arcs.js';

const LEAST_BEND = 0.02; // ft: an edge bent less than a quarter inch is meant straight

export const ringOf = (points, { through = [], closed = true } = {}) => (
  { points, through: points.map((_, place) => through[place] ?? null), closed }
);

const after = (ring, place) => (place + 1) % ring.points.length;
const before = (ring, place) => (place + ring.points.length - 1) % ring.points.length;

/** The places of a ring's edges: one each point, none behind the end of an open line. */
export const edgePlaces = (ring) => [...ring.points.keys()].slice(0, ring.closed ? undefined : -1);

/** The edge that leaves a point: start, through, end. */
export const edgeAt = (ring, place) => [ring.points[place], ring.through[place], ring.points[after(ring, place)]];

export const edgesOf = (ring) => edgePlaces(ring).map((place) => edgeAt(ring, place));
export const middlesOf = (ring) => edgesOf(ring).map((edge) => middleOf(...edge));

/** The neighbors of a point along its ring: null beyond the ends of an open line. */
export function neighborsOf(ring, place) {
  const last = ring.points.length - 1;
  return {
    before: ring.closed || place > 0 ? before(ring, place) : null,
    after: ring.closed || place < last ? after(ring, place) : null,
  };
}

/** A point moved; the arcs at it keep their share of a circle. */
export function withPoint(ring, place, point) {
  const points = ring.points.with(place, point);
  let { through } = ring;
  const { before: left } = neighborsOf(ring, place);
  for (const edge of new Set([left, place])) {
    if (edge === null || !ring.through[edge]) continue;
    const bulge = bulgeOf(...edgeAt(ring, edge));
    const [start, end] = [points[edge], points[(edge + 1) % points.length]];
    through = through.with(edge, throughOfRise(start, end, bulge * distance(start, end)));
  }
  return { ...ring, points, through };
}

/** A point put into an edge; an arc becomes two arcs of the same circle. */
export function withPointIn(ring, place, point) {
  const [start, through, end] = edgeAt(ring, place);
  const arc = arcThrough(start, through, end);
  const on = arc ? nearestOn(point, start, through, end).point : point;
  const halves = arc ? splitArc(arc, start, on, end) : [null, null];
  return {
    ...ring,
    points: ring.points.toSpliced(place + 1, 0, on),
    through: ring.through.toSpliced(place, 1, ...halves),
  };
}

function splitArc(arc, start, on, end) {
  const share = lengthAlong(arc, on) / (arc.radius * Math.abs(arc.sweep));
  return [pointOn(arc, share / 2), pointOn(arc, (1 + share) / 2)];
}

function lengthAlong(arc, on) {
  const angle = Math.atan2(on[1] - arc.center[1], on[0] - arc.center[0]);
  const way = arc.sweep > 0 ? angle - arc.from : arc.from - angle;
  return arc.radius * (((way % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI));
}

/** A point taken out; two arcs of one circle become one. Null where too few would be left. */
export function withoutPoint(ring, place) {
  const least = ring.closed ? (ring.through.some(Boolean) ? 3 : 4) : 3;
  if (ring.points.length < least) return null;
  const { before: left, after: right } = neighborsOf(ring, place);
  const joined = left === null || right === null ? null : joinedArc(ring, left, place);
  const through = ring.through.slice();
  if (left !== null) through[left] = joined;
  return { ...ring, points: ring.points.toSpliced(place, 1), through: through.toSpliced(place, 1) };
}

function joinedArc(ring, left, place) {
  const [one, two] = [arcThrough(...edgeAt(ring, left)), arcThrough(...edgeAt(ring, place))];
  const alike = one && two && distance(one.center, two.center) < 1e-6 && one.sweep * two.sweep > 0;
  return alike && Math.abs(one.sweep + two.sweep) < 6.28 ? ring.points[place] : null;
}

/** An edge bent so that its arc passes through a point; straight where that lies on the chord. */
export function bent(ring, place, at) {
  const [start, , end] = edgeAt(ring, place);
  const rise = riseToward(start, end, at);
  return withRise(ring, place, Math.abs(rise) < LEAST_BEND ? 0 : rise);
}

/** How far `at` lies right of the way from start to end. */
export function riseToward(start, end, at) {
  const chord = distance(start, end) || 1;
  return ((at[0] - start[0]) * (end[1] - start[1]) - (at[1] - start[1]) * (end[0] - start[0])) / chord;
}

export function withRise(ring, place, rise) {
  const [start, , end] = edgeAt(ring, place);
  return { ...ring, through: ring.through.with(place, throughOfRise(start, end, rise)) };
}

/** An edge as an arc of a radius, on the side it bends to already (else to the right of the way). */
export function withRadius(ring, place, radius) {
  const [start, through, end] = edgeAt(ring, place);
  const half = distance(start, end) / 2;
  if (!(radius >= half)) return null;
  const bulge = bulgeOf(start, through, end);
  const rise = radius - Math.sqrt(radius * radius - half * half);
  return withRise(ring, place, bulge < 0 ? -rise : rise);
}

export const movedBy = (ring, x, y) => ({
  ...ring,
  points: ring.points.map((one) => [one[0] + x, one[1] + y]),
  through: ring.through.map((one) => one && [one[0] + x, one[1] + y]),
});

export const lengthOfRing = (ring) => edgesOf(ring).reduce((sum, edge) => sum + lengthOf(...edge), 0);

/** Path data in feet: to be drawn under the matrix of the view. */
export const pathOf = (rings) => rings.map(ringPath).join('');

function ringPath(ring) {
  const [x, y] = ring.points[0];
  return `M${x} ${y}${edgesOf(ring).map((edge) => edgePath(...edge)).join('')}${ring.closed ? 'Z' : ''}`;
}

/** Whether a point lies in the rings (outer and holes). Arcs count by chords fine enough for a finger. */
export function contains(rings, at) {
  let inside = false;
  for (const ring of rings) {
    const points = chordPoints(ring);
    for (let i = 0, j = points.length - 1; i < points.length; j = i, i += 1) {
      const [[ax, ay], [bx, by]] = [points[i], points[j]];
      if (ay > at[1] !== by > at[1] && at[0] < ((bx - ax) * (at[1] - ay)) / (by - ay) + ax) inside = !inside;
    }
  }
  return inside;
}

export function chordPoints(ring) {
  return edgesOf(ring).flatMap(([start, through, end]) => {
    const arc = arcThrough(start, through, end);
    if (!arc) return [start];
    const steps = Math.max(2, Math.ceil(Math.abs(arc.sweep) / 0.2));
    return Array.from({ length: steps }, (_, step) => (step ? pointOn(arc, step / steps) : start));
  });
}

/** How far the nearest edge of the rings is. */
export const awayFrom = (rings, at) => (
  Math.min(...rings.flatMap((ring) => edgesOf(ring).map((edge) => nearestOn(at, ...edge).away)))
);

/** The area of a ring in square feet, arcs by fine chords: to tell the smaller from the larger, never to be priced. */
export function roughArea(ring) {
  const points = chordPoints(ring);
  return Math.abs(points.reduce((sum, [x, y], place) => {
    const [nx, ny] = points[(place + 1) % points.length];
    return sum + x * ny - nx * y;
  }, 0)) / 2;
}

/** Rings as OGC curve WKT, every number to its last digit: what the server reads and checks. */
export function wktOf(rings) {
  const curved = rings.some((ring) => ring.through.some(Boolean));
  return `${curved ? 'CURVEPOLYGON' : 'POLYGON'} (${rings.map((ring) => ringText(ring, curved)).join(', ')})`;
}

function ringText(ring, curved) {
  const members = [];
  for (const [start, through, end] of edgesOf(ring)) {
    const last = members.at(-1);
    const member = last && last.arc === Boolean(through) ? last : { arc: Boolean(through), points: [start] };
    if (member !== last) members.push(member);
    member.points.push(...(through ? [through, end] : [end]));
  }
  const texts = members.map(({ arc, points }) => `${arc ? 'CIRCULARSTRING ' : ''}(${points.map(numbers).join(', ')})`);
  return curved && texts.length > 1 ? `COMPOUNDCURVE (${texts.join(', ')})` : texts[0];
}

const numbers = ([x, y]) => `${number(x)} ${number(y)}`;
const number = (value) => (Math.abs(value) < 1e-9 ? '0' : String(value));
