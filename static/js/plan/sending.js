// What was drawn goes to the server as one change each, one after the other, in the order in which it was drawn. While the
// program does not answer a change waits on this device (unsent/), and goes in by itself. What is refused is handed back.

import htmx from 'htmx.org';
import { freshId } from '../change-ids.js';
import { flush } from '../unsent/sending.js';

/**
 * Changes made on `source`. `saved(change)`, `refused(change)` and `unsent(change)` say what became of each.
 */
export function senderOf(source, { saved, refused, unsent }) {
  const queue = [];
  let under = null; // the change that is on its way
  let waiting = []; // those that wait on this device

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
    queue.shift();
    if (!status) { waiting.push(change); unsent(change); }
    else if (status < 400) saved(change);
    else {
      for (let place = queue.length - 1; place >= 0; place -= 1) {
        if (queue[place].key === change.key) queue.splice(place, 1);
      }
      refused(change);
    }
    next();
  });

  const went = ({ detail }) => { waiting = waiting.filter((change) => change.id !== detail.id); };
  document.addEventListener('outlay:sent', went);
  document.addEventListener('outlay:asks', went);

  return {
    push,
    again: flush,
    /** Whether something drawn on a thing is not saved yet. */
    waits: (key) => [...queue, ...waiting].some((change) => change.key === key),
    forget(key) {
      for (let place = queue.length - 1; place >= 0; place -= 1) {
        if (queue[place].key === key && queue[place] !== under) queue.splice(place, 1);
      }
    },
  };
}
