// Something that stands at a point, or words that do: one tap, or a drag from what the words are about to where they stand.

import { snapped } from './snapping.js';
import { nudged } from './steps.js';

/** `made`: { hint, leader, many, into(at), finish(at, to) }: `many` are placed one after the other; `leader` where a drag draws one from `to` to `at`; `into` says where it lies instead. */
export function place(plan, made) {
  let at = null;
  let from = null;
  const targets = plan.targets();

  const caught = (px, kind) => made.into?.(plan.toFeet(px)) ?? snapped(plan.toFeet(px), {
    points: targets.points, edges: targets.edges, reach: plan.reach(kind) / 2, step: plan.step(),
  }).point;
  const path = () => (from && at ? `M${from[0]} ${from[1]}L${at[0]} ${at[1]}` : '');

  function redraw() {
    plan.overlay.show({ path: path(), filled: false, handle: at });
  }
  const placeWords = () => plan.words('at', { east: plan.length(at[0]), north: plan.length(at[1]) });

  return {
    name: 'place',
    panel: made.panel ?? '',
    bar: () => made.hint,
    does: { give_up: () => plan.use('look'), done: () => plan.use('look') },
    grab(px, kind) {
      from = made.leader ? caught(px, kind) : null;
      return true;
    },
    drag(px, kind) {
      at = caught(px, kind);
      plan.overlay.drag({ path: path(), handle: at });
      plan.loupe(kind, at);
    },
    drop(px, kind) {
      at = caught(px, kind);
      redraw();
      made.finish(at, from);
    },
    tap(px, kind) {
      at = caught(px, kind);
      from = null;
      redraw();
      made.finish(at, null);
    },
    hover(px, kind) {
      at = caught(px, kind);
      plan.overlay.drag({ path: '', handle: at });
    },
    giveUp() { from = null; redraw(); },
    key(event) {
      const by = nudged(event);
      if (by) {
        at ??= plan.middle();
        at = [at[0] + by[0], at[1] + by[1]];
        redraw();
        plan.tell(placeWords());
      } else if (event.key === 'Enter') { at ??= plan.middle(); redraw(); made.finish(at, null); } else if (event.key === 'Escape') plan.use('look');
      else return false;
      return true;
    },
    redraw,
    refresh: redraw,
    refusedNow() { redraw(); },
    saved(change) {
      if (!change.made) return;
      if (made.many) redraw(); else plan.use('look');
    },
  };
}
