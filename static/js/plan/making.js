// What can be drawn new, and what of it goes to the server: each kind of thing, the tool that draws it, its fields.

import { bulgeOf, distance } from './arcs.js';
import { riseToward, wktOf, edgesOf } from './shape.js';
import { draw } from './draw.js';
import { place } from './place.js';
import { slid } from './openings.js';

const DOOR = 3; // ft: how wide a door is until it is said

const pairs = (points) => points.map((point) => point.join(' ')).join(', ');

/** An open line as its points and rises. */
export const lineFields = (ring) => ({
  'points.xy': pairs(ring.points),
  'points.rises': edgesOf(ring).map(([start, through, end]) => Number((bulgeOf(start, through, end) * distance(start, end)).toFixed(9))).join(' '),
});

const placeFields = ([x, y]) => ({ x, y });

/** The tools that make something, by what is chosen in the strip. `picked(name)` is what a select of the panel says. */
export function makingOf(plan, picked) {
  const send = (kind, values) => plan.make(kind, { ...values, measured: plan.measured() });
  const area = (kind, more = () => ({})) => draw(plan, { closed: true, finish: (ring) => send(kind, { 'outline.wkt': wktOf([ring]), ...more() }) });
  const line = (kind, more = () => ({})) => draw(plan, { closed: false, finish: (ring) => send(kind, { ...lineFields(ring), ...more() }) });
  const standing = (kind, more = () => ({})) => place(plan, { hint: 'place_it', panel: kind === 'feature' ? '' : 'stretch', finish: (at) => send(kind, { ...placeFields(at), ...more() }) });
  const there = () => {
    const [what, shape] = picked('there').split('/');
    const more = () => ({ what, fate: picked('fate') });
    if (what === 'house' || what === 'lot') {
      return draw(plan, { closed: true, finish: (ring) => plan.make(`site/${what}`, { [`${what}.wkt`]: wktOf([ring]) }) });
    }
    if (what === 'door') return place(plan, { hint: 'place_door', panel: 'stretch', into: (at) => slid(plan.walls, at, DOOR, plan.step()), finish: (at) => send('opening', placeFields(at)) });
    return { area, line, point: standing }[shape]('existing', more);
  };
  return {
    zone: () => area('zone', () => ({ kind: picked('purpose') })),
    run: () => line('run', () => ({ kind: picked('line') })),
    feature: () => standing('feature'),
    light: () => place(plan, { hint: 'place_lights', panel: 'light', many: true, finish: (at) => send('light', { ...placeFields(at), recipe: picked('light') }) }),
    head: () => place(plan, {
      hint: 'place_heads', panel: 'head', many: true,
      finish: (at) => send('head', { ...placeFields(at), valve: picked('valve'), new: picked('head_is'), head: picked('head'), arc: picked('arc'), faces: picked('faces'), throw: plan.typed('throw'), flow: plan.typed('flow') }),
    }),
    plant: () => place(plan, { hint: 'place_plants', panel: 'plant', many: true, finish: (at) => send('plant', { ...placeFields(at), row: picked('plant') }) }),
    there,
    note: () => place(plan, {
      hint: 'place_note', panel: 'note', leader: true,
      finish: (at, to) => send('note', { ...placeFields(at), words: plan.noteWords(), ...(to ? { 'to.x': to[0], 'to.y': to[1] } : {}) }),
    }),
    easement: () => (picked('easement') === 'strip' ? line('easement', () => ({ width: plan.typed('wide') })) : area('easement')),
    dimension: () => dimension(plan, send),
  };
}

/** Two points, then where its line runs. */
function dimension(plan, send) {
  return draw(plan, {
    closed: false, most: 2, hint: 'dimension_from', hint2: 'dimension_to',
    finish: (ring) => plan.useTool(place(plan, {
      hint: 'dimension_line',
      finish: (at) => send('dimension', { 'points.xy': pairs(ring.points), offset: -riseToward(...ring.points, at) }),
    })),
  });
}
