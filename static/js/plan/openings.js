// Doors and gates stay in a wall: the same as app/domain/plan/walls.py. A wall is its two ends [ft].

import { distance } from './arcs.js';
import { rounded } from './snapping.js';

/** Where the middle of an opening dragged to `at` lies: in the nearest wall, whole within it, from its start by the step. */
export function slid(walls, at, width, step = 0) {
  const wall = nearest(walls, at);
  if (!wall) return at;
  const long = distance(...wall);
  const half = Math.min(width, long) / 2;
  return onWall(wall, Math.min(Math.max(rounded(alongWall(wall, at), step), half), long - half));
}

/** How far the middle of an opening is from both ends of its wall [ft]; null where there is no wall. */
export function fromEnds(walls, at) {
  const wall = nearest(walls, at);
  return wall && wall.map((end) => distance(end, at));
}

function nearest(walls, at) {
  let found = null;
  let least = Infinity;
  for (const wall of walls) {
    const along = Math.min(Math.max(alongWall(wall, at), 0), distance(...wall));
    const away = distance(at, onWall(wall, along));
    if (away < least) [found, least] = [wall, away];
  }
  return found;
}

function alongWall([[ax, ay], [bx, by]], [x, y]) {
  return ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / Math.hypot(bx - ax, by - ay);
}

function onWall([[ax, ay], [bx, by]], along) {
  const share = along / Math.hypot(bx - ax, by - ay);
  return [ax + (bx - ax) * share, ay + (by - ay) * share];
}
