// What is done with a whole shape: copied, turned, split by a line, joined to another, squared up, bordered. The server
// does it, exactly as it does what is typed; the hand only shows where.

import { draw } from './draw.js';
import { move } from './move.js';
import { feet, turn } from './turn.js';

export function reworkingOf(plan, strip) {
  return {
    copy: () => plan.useTool(move(plan, { copy: true })),
    turn: () => plan.useTool(turn(plan)),
    split() {
      const key = plan.focus;
      plan.useTool(draw(plan, {
        closed: false, straight: true, hint: 'split_first', panel: '',
        finish: (ring) => plan.shape(key, 'split', { cut: ring.points.map((point) => point.map(feet).join(', ')).join(' / ') }),
      }));
    },
    join: () => plan.useTool(join(plan)),
    square: () => plan.shape(plan.focus, 'square', {}),
    set_off: () => plan.shape(plan.focus, 'set-off', { width: strip.text('width'), makes: strip.picked('makes') }),
  };
}

/** The other zone is tapped. */
function join(plan) {
  const key = plan.focus;
  const rest = () => plan.overlay.show({});
  return {
    name: 'join',
    bar: () => 'join',
    does: { give_up: () => plan.use('look') },
    grab: () => false,
    tap(px, kind) {
      const other = plan.hit(px, kind);
      if (other?.kind === 'alternative' && other.key !== key) plan.shape(key, 'join', { other: other.key.slice('zone:'.length) });
      else plan.tell(plan.words('join_another'));
    },
    key(event) {
      if (event.key !== 'Escape') return false;
      plan.use('look');
      return true;
    },
    redraw: rest,
    refresh: rest,
    refusedNow: rest,
    saved(change) { if (change.made) plan.use('look'); },
  };
}
