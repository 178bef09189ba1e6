// Something new drawn stretch by stretch: taps, drags, typed lengths or the arrow keys place its points; the middle of a
// stretch bends it. A closed thing (zone, house, slab) closes on its first point, an open one (wall, pipe) is finished.

import { arcThrough, distance, lengthOf } from './arcs.js';
import { bent, edgeAt, middlesOf, pathOf, ringOf, riseToward, withPoint, withRise } from './shape.js';
import { guidesFrom, snapped } from './snapping.js';
import { nudged, roundRise } from './steps.js';

/** `made` says what is drawn: { what, closed, most, finish(ring) }. */
export function draw(plan, made) {
  let ring = null; // of the points placed so far, open
  let next = null; // where the next point would lie
  let holds = null; // { place, edge }: a placed point or stretch that is dragged
  let targets = plan.targets();
  let refused = false;

  const points = () => ring?.points ?? [];
  const last = () => points().at(-1);
  const enough = () => points().length >= (made.closed ? (ring?.through.some(Boolean) ? 2 : 3) : 2);

  /** Square, parallel and in line with the stretch before; level with the first point. */
  function guides() {
    const all = points();
    if (!all.length) return [];
    const from = last();
    const before = all.at(-2);
    const ways = [[1, 0], ...(before ? [[from[0] - before[0], from[1] - before[1]]] : [])];
    const first = made.closed && all.length > 1 ? guidesFrom(all[0], [[1, 0], [all[1][0] - all[0][0], all[1][1] - all[0][1]]]) : [];
    return [...guidesFrom(from, ways), ...first];
  }

  function catchPoint(px, kind) {
    const at = plan.toFeet(px);
    const own = points().slice(0, -1).map((point) => ({ point, kind: 'corner' }));
    return snapped(at, {
      points: [...own, ...targets.points], edges: targets.edges, guides: guides(), reach: plan.reach(kind) / 2, step: plan.step(),
    });
  }

  const closes = (point) => made.closed && enough() && distance(point, points()[0]) === 0;

  function place(point) {
    refused = false;
    if (closes(point)) { finish(); return; }
    if (points().length && distance(point, last()) < 1e-4) return;
    ring = ring ? { ...ring, points: [...ring.points, point], through: [...ring.through, null] } : ringOf([point], { closed: false });
    next = point;
    plan.showBar();
    redraw();
    plan.tell(points().length > 1
      ? plan.words('stretch', { number: points().length, length: plan.length(distance(points().at(-2), point)) })
      : plan.words('at', { east: plan.length(point[0]), north: plan.length(point[1]) }));
    if (made.most && points().length === made.most) finish();
  }

  function finish() {
    if (!enough()) { plan.tell(plan.words('too_few_yet')); return; }
    made.finish(made.closed ? { ...ring, closed: true } : ring);
  }

  function find(px, kind) {
    if (!ring) return null;
    const at = plan.toFeet(px);
    const near = (point) => distance(point, at) <= plan.reach(kind) * 0.7;
    const place_ = ring.points.findIndex(near);
    if (place_ >= 0) return { place: place_, edge: false };
    const edge = made.most ? -1 : middlesOf(ring).findIndex(near);
    return edge >= 0 ? { place: edge, edge: true } : null;
  }

  const shown = () => {
    if (!ring) return '';
    if (!next || holds || distance(next, last()) === 0) return pathOf([ring]);
    return `${pathOf([ring])}L${next[0]} ${next[1]}`;
  };
  const handle = () => {
    if (!holds) return next;
    return holds.edge ? middlesOf(ring)[holds.place] : ring.points[holds.place];
  };

  function words() {
    if (holds?.edge) {
      const arc = arcThrough(...edgeAt(ring, holds.place));
      return arc ? plan.words('arc', { radius: plan.length(arc.radius), length: plan.length(lengthOf(...edgeAt(ring, holds.place))) }) : '';
    }
    if (!next || !ring || holds || distance(last(), next) < 1e-4) return '';
    return `${plan.length(distance(last(), next))}  ·  ${Math.round(bearing(last(), next) * 10) / 10}°`;
  }

  function redraw() {
    plan.overlay.mark(refused ? 'refused' : '');
    plan.overlay.show({
      path: shown(), filled: false, points: points(), edges: ring && !made.most ? middlesOf(ring) : [], handle: handle(),
    });
    if (next) plan.overlay.read(plan.view, handle(), words());
  }

  function follow(px, kind) {
    const found = catchPoint(px, kind);
    next = found.point;
    plan.overlay.drag({ path: shown(), handle: next, guides: found.guides.map(({ from }) => [from, next]) });
    plan.overlay.read(plan.view, next, words());
    return found;
  }

  function pull(px, kind) {
    const reach = plan.reach(kind) / 2;
    if (!holds.edge) { ring = withPoint(ring, holds.place, catchPoint(px, kind).point); return; }
    const at = plan.toFeet(px);
    const through = snapped(at, { points: targets.points, reach });
    const [start, , end] = edgeAt(ring, holds.place);
    ring = through.kind ? bent(ring, holds.place, through.point)
      : withRise(ring, holds.place, roundRise(riseToward(start, end, at), distance(start, end) / 2, reach, plan.step()));
  }

  function back() {
    if (!ring) return;
    ring = ring.points.length > 1 ? { ...ring, points: ring.points.slice(0, -1), through: ring.through.slice(0, -1) } : null;
    refused = false;
    next = last() ?? next;
    plan.showBar();
    redraw();
    plan.tell(plan.words('taken_back'));
  }

  const does = {
    back,
    finish,
    give_up: () => plan.use('look'),
    /** A typed length, and a direction or that in which the next point lies. */
    async stretch() {
      const from = last() ?? next;
      if (!from) { plan.tell(plan.words('first_point')); return; }
      if (!ring) place(from);
      const typed = await plan.typedStretch(next && distance(from, next) ? bearing(from, next) : straightOn());
      if (!typed) return;
      const turn = (typed.bearing * Math.PI) / 180;
      place([from[0] + typed.length * exact(Math.cos(turn)), from[1] + typed.length * exact(Math.sin(turn))]);
    },
  };

  const straightOn = () => (points().length > 1 ? (bearing(points().at(-2), last()) + 90) % 360 : 0);

  return {
    name: 'draw',
    panel: made.most ? '' : 'stretch',
    bar: () => (refused ? 'draw_refused' : !ring ? made.hint ?? 'draw_first' : made.most ? made.hint2 ?? 'draw_second' : made.closed ? 'draw_closed' : 'draw_open'),
    does,
    grab(px, kind) {
      targets = plan.targets();
      holds = find(px, kind);
      return true;
    },
    drag(px, kind) {
      if (!holds) {
        if (!ring) place(catchPoint(plan.pressed, kind).point); // a drag draws its first stretch whole
        follow(px, kind);
      } else {
        pull(px, kind);
        plan.overlay.drag({ path: shown(), handle: handle() });
        plan.overlay.read(plan.view, handle(), words());
      }
      plan.loupe(kind, handle());
    },
    drop(px, kind) {
      if (holds) pull(px, kind);
      else place(catchPoint(px, kind).point);
      holds = null;
      redraw();
    },
    tap(px, kind) {
      const found = holds;
      holds = null;
      if (found && !found.edge && made.closed && found.place === 0 && enough()) { finish(); return; }
      place(catchPoint(px, kind).point);
    },
    hover(px, kind) { follow(px, kind); },
    giveUp() {
      holds = null;
      redraw();
    },
    key(event) {
      const by = nudged(event);
      if (by) {
        next = next ?? plan.middle();
        next = [next[0] + by[0], next[1] + by[1]];
        redraw();
        plan.tell(words() || plan.words('at', { east: plan.length(next[0]), north: plan.length(next[1]) }));
      } else if (event.key === 'Enter') {
        if (!next) next = plan.middle();
        if (ring && distance(next, last()) < 1e-4) finish();
        else place(next);
      } else if (event.key === 'Backspace') back();
      else if (event.key.toLowerCase() === 'c' && ring) finish();
      else if (event.key === 'Escape') plan.use('look');
      else return false;
      return true;
    },
    redraw,
    refresh: redraw,
    refusedNow() {
      refused = true;
      plan.showBar();
      redraw();
    },
    saved(change) { if (change.made) plan.use('look'); },
    hasDrawn: () => points().length > 0,
  };
}

/** Degrees, 0 to the right and 90 up, as in the table of points. */
export const bearing = (from, to) => ((Math.atan2(to[1] - from[1], to[0] - from[0]) * 180) / Math.PI + 360) % 360;

/** Quarter turns are exact. */
const exact = (value) => (Math.abs(value) < 1e-12 ? 0 : Math.abs(Math.abs(value) - 1) < 1e-12 ? Math.sign(value) : value);
