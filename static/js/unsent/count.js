// "3 not sent yet" in the bar, calmly, while something waits; a change that was not taken asks to be looked at, and one
// that waits for a day warns. "All saved" is not said meanwhile.

import { lastChange, setLastChange } from '../change-ids.js';
import { all } from './store.js';
import { flush } from './sending.js';

const A_DAY = 24 * 3600 * 1000; // ms
const SOON = 700; // ms: what is answered by then was never worth a word
let last = '';
let showing = null;

const words = (key, count) => (document.getElementById('unsent-words')?.dataset[key] ?? '').replace('#', count);

function linesOf(changes) {
  const asks = changes.filter((change) => change.state === 'asks').length;
  const waits = changes.filter((change) => change.state === 'waits');
  const old = waits.some((change) => Date.now() - Date.parse(change.at) > A_DAY);
  const key = old ? 'old' : 'wait';
  return [
    waits.length ? words(waits.length === 1 ? key : `${key}Many`, waits.length) : '',
    asks ? words(asks === 1 ? 'ask' : 'askMany', asks) : '',
  ].filter(Boolean);
}

async function show() {
  const link = document.getElementById('unsent');
  if (!link) return;
  const changes = await all().catch(() => []);
  const lines = linesOf(changes);
  document.documentElement.toggleAttribute('data-unsent', changes.length > 0);
  const now = lines.join(', ');
  if (now === last) return;
  clearTimeout(showing);
  const say = () => {
    last = now;
    link.hidden = !now;
    link.textContent = now;
    link.classList.toggle('careful', changes.some((change) => change.state === 'asks') || now.includes(words('old', 1)));
  };
  if (!last && now && changes.every((change) => Date.now() - Date.parse(change.at) < SOON)) showing = setTimeout(show, SOON);
  else say();
}

document.addEventListener('outlay:unsent', show);
setInterval(show, 600000); // a day goes by without an event

// What was kept when this device was last closed goes in now; what is made on this page comes after it.
all().then((changes) => {
  const newest = changes.filter((change) => change.state === 'waits').at(-1);
  if (newest && !lastChange()) setLastChange(newest.id);
  show();
  if (newest) flush();
}, () => {});
