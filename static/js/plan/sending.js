// What was drawn goes to the server as one change each, one after the other, in the order in which it was drawn. A change
// keeps its id until it is answered: sent again, it changes nothing twice. What is refused is handed back, not lost.

import htmx from 'htmx.org';
import { freshId } from '../change-ids.js';

/**
 * Changes made on `source`. `saved(change)`, `refused(change)` and `unsent(change)` say what became of each.
 */
export function senderOf(source, { saved, refused, unsent }) {
  const queue = [];
  let under = null; // the change that is on its way

  function push(change) {
    queue.push({ ...change, id: freshId() });
    next();
  }

  function next() {
    if (under || !queue.length) return;
    [under] = queue;
    const { path, values, id } = under;
    htmx.ajax('POST', path, {
      source, target: '#page-part', swap: 'innerHTML', values: { ...values, change_id: id },
    }).catch(() => {}); // the events below say what became of it
  }

  document.addEventListener('htmx:afterRequest', ({ detail }) => {
    if (!under || detail.requestConfig?.parameters?.change_id !== under.id) return;
    const change = under;
    const { status } = detail.xhr;
    under = null;
    if (!status) { unsent(change); return; }
    queue.shift();
    if (status < 400) saved(change);
    else {
      for (let place = queue.length - 1; place >= 0; place -= 1) {
        if (queue[place].key === change.key) queue.splice(place, 1);
      }
      refused(change);
    }
    next();
  });

  return {
    push,
    again: next,
    /** Whether something drawn on a thing is not saved yet. */
    waits: (key) => queue.some((change) => change.key === key),
    forget(key) {
      for (let place = queue.length - 1; place >= 0; place -= 1) {
        if (queue[place].key === key && queue[place] !== under) queue.splice(place, 1);
      }
    },
  };
}
