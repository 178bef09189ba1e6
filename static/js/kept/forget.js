// Pages of ours are dropped from this device: when it is turned to the client, and when it is shut out at the office.

import { ask } from './worker.js';

/** Drop every page that is kept here. What was typed and not sent stays: it is in nobody else's hands yet. */
export async function forget() {
  await ask({ does: 'forget' });
  if ('caches' in window) await Promise.all((await caches.keys()).filter((name) => name !== 'outlay-built').map((name) => caches.delete(name)));
}

if (document.body.classList.contains('client') || document.querySelector('[data-forget]')) void forget();
document.addEventListener('outlay:shut-out', () => { void forget(); });
