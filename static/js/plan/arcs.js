// Straight edges and circular arcs in feet, y north: the same closed formulas as app/domain/plan/arcs.py.
// An edge goes from `start` to `end`; `through` is a point on its arc, or null where it is straight.

export const LEAST_RISE = 1e-6; // ft: an arc that rises less than this above its chord is none
const TAU = 2 * Math.PI;

export const distance = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);
export const halfway = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
export const same = (a, b) => a[0] === b[0] && a[1] === b[1];

/** The arc through three points: center, radius, angle of its start, sweep (positive counterclockwise); null for a line. */
export function arcThrough(start, through, end) {
  if (!through) return null;
  const [ax, ay] = [through[0] - start[0], through[1] - start[1]];
  const [bx, by] = [end[0] - start[0], end[1] - start[1]];
  const doubled = 2 * (ax * by - ay * bx);
  const chord = Math.hypot(bx, by);
  if (chord === 0 || Math.abs(doubled) / (2 * chord) < LEAST_RISE) return null;
  const [a, b] = [ax * ax + ay * ay, bx * bx + by * by];
  const [x, y] = [(by * a - ay * b) / doubled, (ax * b - bx * a) / doubled];
  const first = Math.atan2(-y, -x);
  const last = Math.atan2(by - y, bx - x);
  const sweep = doubled > 0 ? turn(last - first) : -turn(first - last);
  return { center: [start[0] + x, start[1] + y], radius: Math.hypot(x, y), from: first, sweep };
}

const turn = (angle) => ((angle % TAU) + TAU) % TAU;

/** The middle of the arc that rises `rise` feet above its chord: right of the way from start to end if positive. */
export function throughOfRise(start, end, rise) {
  const chord = distance(start, end);
  if (!chord || Math.abs(rise) < LEAST_RISE) return null;
  const [mx, my] = halfway(start, end);
  return [mx + (rise * (end[1] - start[1])) / chord, my - (rise * (end[0] - start[0])) / chord];
}

/** How far an edge rises above its chord, in shares of the chord; 0 where it is straight. */
export function bulgeOf(start, through, end) {
  const arc = arcThrough(start, through, end);
  return arc ? Math.tan(arc.sweep / 4) / 2 : 0;
}

/** A point on an arc at a share (0 to 1) of its way. */
export function pointOn(arc, share) {
  const angle = arc.from + share * arc.sweep;
  return [arc.center[0] + arc.radius * Math.cos(angle), arc.center[1] + arc.radius * Math.sin(angle)];
}

export function middleOf(start, through, end) {
  const arc = arcThrough(start, through, end);
  return arc ? pointOn(arc, 0.5) : halfway(start, end);
}

export function lengthOf(start, through, end) {
  const arc = arcThrough(start, through, end);
  return arc ? arc.radius * Math.abs(arc.sweep) : distance(start, end);
}

/** Where on its way an angle lies: a share, between 0 and 1 where the arc passes there. */
function shareAt(arc, angle) {
  const way = arc.sweep > 0 ? turn(angle - arc.from) : turn(arc.from - angle);
  return way / Math.abs(arc.sweep);
}

/** The point of an edge nearest to `at`, and how far it is. */
export function nearestOn(at, start, through, end) {
  const arc = arcThrough(start, through, end);
  const point = arc ? nearestOnArc(at, arc, start, end) : nearestOnLine(at, start, end);
  return { point, away: distance(at, point) };
}

/** The share (0 to 1) of its way at which an edge is nearest to `at`. */
export function shareOn(at, start, through, end) {
  const arc = arcThrough(start, through, end);
  if (!arc) return distance(start, nearestOnLine(at, start, end)) / (distance(start, end) || 1);
  const share = shareAt(arc, Math.atan2(at[1] - arc.center[1], at[0] - arc.center[0]));
  return share <= 1 ? share : Number(distance(at, start) > distance(at, end));
}

function nearestOnLine(at, start, end) {
  const [x, y] = [end[0] - start[0], end[1] - start[1]];
  const square = x * x + y * y;
  if (!square) return start;
  const share = ((at[0] - start[0]) * x + (at[1] - start[1]) * y) / square;
  if (share <= 0) return start;
  return share >= 1 ? end : [start[0] + share * x, start[1] + share * y];
}

function nearestOnArc(at, arc, start, end) {
  const [x, y] = [at[0] - arc.center[0], at[1] - arc.center[1]];
  const share = shareAt(arc, Math.atan2(y, x));
  if ((x || y) && share <= 1) return pointOn(arc, share);
  return distance(at, start) <= distance(at, end) ? start : end;
}

/** An edge as path data that goes on from where the path is. */
export function edgePath(start, through, end) {
  const arc = arcThrough(start, through, end);
  if (!arc) return `L${end[0]} ${end[1]}`;
  return `A${arc.radius} ${arc.radius} 0 ${Number(Math.abs(arc.sweep) > Math.PI)} ${Number(arc.sweep > 0)} ${end[0]} ${end[1]}`;
}
