// Shared edges under a finger: the question mark of one, or its line. A mark is met from further away than a line.

const LINE = 0.4; // of a finger's reach: a tap beside the line means what lies there

function away([x, y], [ax, ay], [bx, by]) {
  const [east, north] = [bx - ax, by - ay];
  const long = east * east + north * north;
  const share = long ? Math.min(Math.max(((x - ax) * east + (y - ay) * north) / long, 0), 1) : 0;
  return Math.hypot(x - ax - share * east, y - ay - share * north);
}

/** The key of the edge at a place [ft], if its mark lies within `reach` or its line within a part of it. */
export function edgeAt(drawing, at, reach) {
  let found = '';
  let nearest = Infinity;
  for (const link of drawing.querySelectorAll('a[data-edge]')) {
    const points = link.dataset.edge.split(',').map((pair) => pair.split(' ').map(Number));
    const limit = points.length > 1 ? reach * LINE : reach;
    const far = Math.min(...points.map((point, place) => away(at, point, points[Math.min(place + 1, points.length - 1)])));
    if (far <= limit && far < nearest) {
      nearest = far;
      [, found] = /focus=([^&#]+)/.exec(link.getAttribute('href'));
    }
  }
  return found;
}
