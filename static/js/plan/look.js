// Looking: the paper is moved and zoomed, a tap selects, a tap on what is selected takes hold of its shape.

import { pathOf } from './shape.js';

export function look(plan) {
  const selected = () => plan.things.get(plan.focus);
  const isPicture = () => selected()?.layer === 'underlay';

  function step(by) {
    const keys = [...plan.things.keys()];
    if (!keys.length) return;
    const place = keys.indexOf(plan.focus);
    plan.select(keys[(place + by + keys.length) % keys.length]);
  }

  return {
    name: 'look',
    bar() {
      if (!selected()) return 'look';
      if (isPicture()) return 'picture';
      return selected().at ? 'selected_point' : 'selected';
    },
    grab: () => false,
    tap(at, kind) {
      const edge = plan.edgeAt(at, kind);
      if (edge) {
        plan.select(edge);
        return;
      }
      const found = plan.hit(at, kind);
      if (found && found.key === plan.focus) plan.use('reshape');
      else plan.select(found?.key ?? '');
    },
    redraw() {
      const thing = selected();
      plan.overlay.show(thing?.rings.length ? { path: pathOf(thing.rings), filled: false } : { handle: thing?.at });
    },
    key(event) {
      const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (by) step(by);
      else if (event.key === 'Enter' && selected() && !isPicture()) plan.use('reshape');
      else if (event.key === 'Escape' && plan.focus) plan.select('');
      else return false;
      return true;
    },
  };
}
