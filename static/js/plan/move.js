// A whole thing moved: by finger wherever it is touched, by the arrow keys an inch or a foot at a time. The server moves
// it, so that its lengths stay what they were.

import { movedBy, pathOf } from './shape.js';
import { distance } from './arcs.js';
import { snapped } from './snapping.js';
import { nudged } from './steps.js';
import { feet } from './turn.js';

export function move(plan, { copy = false } = {}) {
  const { key } = plan.things.get(plan.focus);
  const thing = () => plan.things.get(key);
  let by = [0, 0]; // ft, not yet sent
  let from = null;
  let corner = null; // what is caught by what is there
  let targets = null;

  const corners = () => (thing().at ? [thing().at] : thing().rings.flatMap((ring) => ring.points));
  const rings = () => thing().rings.map((ring) => movedBy(ring, ...by));
  const stands = () => (thing().at ? [thing().at[0] + by[0], thing().at[1] + by[1]] : null);
  const words = () => plan.words('moved_by', { east: plan.length(by[0]), north: plan.length(by[1]) });

  function redraw() {
    plan.overlay.show({ path: pathOf(rings()), handle: stands() ?? [corner[0] + by[0], corner[1] + by[1]] });
    plan.overlay.read(plan.view, stands() ?? [corner[0] + by[0], corner[1] + by[1]], by[0] || by[1] ? words() : '');
  }

  function place(px, kind) {
    const at = plan.toFeet(px);
    const wanted = [corner[0] + at[0] - from[0], corner[1] + at[1] - from[1]];
    const { point } = snapped(wanted, { points: targets.points, edges: targets.edges, reach: plan.reach(kind) / 2 });
    const step = plan.step();
    const free = point === wanted;
    by = [0, 1].map((axis) => {
      const way = point[axis] - corner[axis];
      return free && step ? Math.round(way / step) * step : way;
    });
  }

  function send() {
    if (!by[0] && !by[1]) return;
    if (copy) plan.shape(key, 'place', { how: 'copy', east: feet(by[0]), north: feet(by[1]) });
    else plan.shift(key, by);
    plan.tell(words());
  }

  [corner] = corners();
  return {
    name: 'move',
    bar: () => (copy ? 'copy' : 'move'),
    grab(px, kind) {
      const at = plan.toFeet(px);
      const near = plan.hit(px, kind);
      const picture = thing().layer === 'underlay'; // it lies below all else, and is met anywhere
      if (!picture && near?.key !== key && Math.min(...corners().map((one) => distance(one, at))) > plan.reach(kind)) return false;
      from = [at[0] - by[0], at[1] - by[1]];
      const places = corners().map((one) => ({ one, away: distance(one, from) }));
      corner = places.sort((a, b) => a.away - b.away)[0].one;
      targets = plan.targets({ but: key });
      return true;
    },
    drag(px, kind) {
      place(px, kind);
      plan.overlay.drag({ path: pathOf(rings()), handle: stands() ?? [corner[0] + by[0], corner[1] + by[1]] });
      plan.overlay.read(plan.view, plan.toFeet(px), words());
    },
    drop(px, kind) {
      place(px, kind);
      send();
      redraw();
    },
    giveUp() {
      by = [0, 0];
      redraw();
    },
    tap(px, kind) {
      const other = plan.hit(px, kind);
      if (other?.key === key) return;
      plan.use('look');
      plan.select(other?.key ?? '');
    },
    key(event) {
      const way = nudged(event);
      if (way) {
        by = [by[0] + way[0], by[1] + way[1]];
        redraw();
        plan.tell(words());
      } else if (event.key === 'Enter') { send(); if (!by[0] && !by[1]) plan.use('look'); } else if (event.key === 'Escape') {
        if (by[0] || by[1]) { by = [0, 0]; plan.forget(key); redraw(); } else plan.use('look');
      } else return false;
      return true;
    },
    does: { done: () => plan.use('look') },
    redraw,
    refresh() {
      if (!thing()) { plan.use('look'); return; }
      if (!plan.waits(key)) by = [0, 0];
      [corner] = corners();
      redraw();
    },
    refusedNow() { redraw(); },
    saved(change) { if (change.made) plan.use('look'); },
  };
}
