// What is done with a whole shape: copied, turned, split by a line, joined to another, squared up, bordered. The server
// does it, exactly as it does what is typed; the hand only shows where.

import { draw } from './draw.js';
import { move } from './move.js';
import { edgesOf, pathOf } from './shape.js';
import { feet, turn } from './turn.js';

export function reworkingOf(plan, strip) {
  return {
    copy: () => plan.useTool(move(plan, { copy: true })),
    turn: () => plan.useTool(turn(plan)),
    split() {
      const key = plan.focus;
      plan.useTool(draw(plan, {
        closed: false, hint: 'split_first', finish: (ring) => plan.shape(key, 'split', { cut: lineText(ring) }),
      }));
    },
    join: () => plan.useTool(join(plan)),
    scale: () => scale(plan, strip),
    square: () => plan.shape(plan.focus, 'square', {}),
    set_off: () => plan.shape(plan.focus, 'set-off', { width: strip.text('width'), makes: strip.picked('makes') }),
  };
}

const pointText = (point) => point.map(feet).join(', ');

/** A line as it could be typed: its points, an arc by its middle (app/domain/plan/lines.py). */
export const lineText = (ring) => [pointText(ring.points[0]), ...edgesOf(ring).map(([, through, end]) => (
  through ? `arc ${pointText(end)} through ${pointText(through)}` : pointText(end)
))].join(' / ');

/** Two points of a picture, then how far apart they are in the yard. */
function scale(plan, strip) {
  const key = plan.focus;
  plan.useTool(draw(plan, {
    closed: false, most: 2, hint: 'known_from', hint2: 'known_to', finish: ({ points: [start, end] }) => plan.useTool(known(plan, strip, key, start, end)),
  }));
}

function known(plan, strip, key, start, end) {
  const redraw = () => plan.overlay.show({ path: `M${start.join(' ')}L${end.join(' ')}`, filled: false, points: [start, end] });
  return {
    name: 'known',
    panel: 'known',
    bar: () => 'known',
    does: {
      give_up: () => plan.use('look'),
      known: () => plan.picture(key, 'scale', {
        'start.x': start[0], 'start.y': start[1], 'end.x': end[0], 'end.y': end[1],
        length: strip.text('known'), direction: strip.text('along'),
      }),
    },
    grab: () => false,
    tap() {},
    key: (event) => event.key === 'Escape' && (plan.use('look'), true),
    redraw,
    refresh: redraw,
    refusedNow: redraw,
    saved(change) { if (change.made) plan.use('look'); },
  };
}

/** The other zone is tapped, or gone to by the arrow keys and taken by Enter. */
function join(plan) {
  const key = plan.focus;
  let chosen = ''; // by the arrow keys
  const others = () => [...plan.things.values()].filter((one) => one.kind === 'alternative' && one.key !== key);
  const rest = () => {
    const other = plan.things.get(chosen);
    plan.overlay.show(other ? { path: pathOf(other.rings) } : {});
  };
  const joined = (other) => plan.shape(key, 'join', { other: other.slice('zone:'.length) });
  function step(by) {
    const all = others();
    if (!all.length) { plan.tell(plan.words('join_another')); return; }
    const place = all.findIndex((one) => one.key === chosen);
    const next = all[place < 0 ? (by > 0 ? 0 : all.length - 1) : (place + by + all.length) % all.length];
    chosen = next.key;
    plan.tell(next.name);
    rest();
  }
  return {
    name: 'join',
    bar: () => 'join',
    does: { give_up: () => plan.use('look') },
    grab: () => false,
    tap(px, kind) {
      const other = plan.hit(px, kind);
      if (other?.kind === 'alternative' && other.key !== key) joined(other.key);
      else plan.tell(plan.words('join_another'));
    },
    key(event) {
      const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (by) step(by);
      else if (event.key === 'Enter' && chosen) joined(chosen);
      else if (event.key === 'Escape') plan.use('look');
      else return false;
      return true;
    },
    redraw: rest,
    refresh: rest,
    refusedNow: rest,
    saved(change) { if (change.made) plan.use('look'); },
  };
}
