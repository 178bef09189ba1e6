// Doors and gates stay in a wall: the same as app/domain/plan/walls.py. A wall is its two ends [ft], and a point on its arc.

import { arcThrough, distance, lengthOf, nearestOn, pointOn, shareOn } from './arcs.js';
import { rounded } from './snapping.js';

/** Where the middle of an opening dragged to `at` lies: in the nearest wall, whole within it, from its start by the step. */
export function slid(walls, at, width, step = 0) {
  const wall = nearest(walls, at);
  if (!wall) return at;
  const [start, end, through = null] = wall;
  const arc = arcThrough(start, through, end);
  const long = lengthOf(start, through, end);
  const reach = arc ? arc.radius * Math.asin(Math.min(width / 2 / arc.radius, 1)) : width / 2;
  const half = Math.min(reach, long / 2);
  const share = Math.min(Math.max(rounded(shareOn(at, start, through, end) * long, step), half), long - half) / long;
  return arc ? pointOn(arc, share) : [start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share];
}

/** How far the middle of an opening is from both ends of its wall [ft]; null where there is no wall. */
export function fromEnds(walls, at) {
  const wall = nearest(walls, at);
  return wall && wall.slice(0, 2).map((end) => distance(end, at));
}

function nearest(walls, at) {
  let found = null;
  let least = Infinity;
  for (const wall of walls) {
    const [start, end, through = null] = wall;
    const { away } = nearestOn(at, start, through, end);
    if (away < least) [found, least] = [wall, away];
  }
  return found;
}
