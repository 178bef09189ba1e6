// One sender at a time on this device, whatever tabs are open: Web Locks where the page is secure; over plain HTTP, where
// they are missing, a lease in the store that its holder renews, and that runs out when its tab is closed.

import { freshId } from '../change-ids.js';
import { mark } from './store.js';

const LEASE = 'sending';
const GOOD_FOR = 6000; // ms
const me = freshId();
let turn = Promise.resolve();

const pause = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

async function leased(work) {
  for (;;) {
    let mine = false;
    await mark(LEASE, (held) => {
      mine = !held || held.by === me || held.until < Date.now() || held.until > Date.now() + 2 * GOOD_FOR;
      return mine ? { by: me, until: Date.now() + GOOD_FOR } : undefined;
    });
    if (mine) break;
    await pause(150);
  }
  const renew = setInterval(() => mark(LEASE, () => ({ by: me, until: Date.now() + GOOD_FOR })), GOOD_FOR / 3);
  try {
    return await work();
  } finally {
    clearInterval(renew);
    await mark(LEASE, (held) => (held?.by === me ? null : undefined));
  }
}

/** Do `work` while no other tab, and nothing else of this one, sends. */
export function alone(work) {
  const mine = turn.then(() => (navigator.locks ? navigator.locks.request('outlay-sending', work) : leased(work)));
  turn = mine.catch(() => {});
  return mine;
}
