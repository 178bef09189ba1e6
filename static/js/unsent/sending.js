// Sends what is kept, in order, one at a time. A change whose answer was lost is asked about before it is sent again.

import { alone } from './one-sender.js';
import { contact } from './contact.js';
import { all, alter, drop, stepOver } from './store.js';
import { inPieces, sendPieces } from './pieces.js';
import { whatWasRefused } from './refusals.js';

const PATIENCE = { text: 20000, file: 180000 }; // ms
const TRIES = 3; // of a change at which the program itself stumbles
const WAITS = [2000, 4000, 8000, 15000, 30000]; // ms between tries while the program is away
let away = 0; // tries in a row that were not answered
let timer = null;

/** A change with its large files sent before it, in pieces; null where the line was cut. */
export async function readied(change, token) {
  if (!inPieces(change.pairs)) return change;
  const pairs = await sendPieces(change.pairs, token);
  return pairs && { ...change, pairs };
}

/** A form's pairs as the body of a request: text alone as a form, with files in parts. */
export function bodyOf(change, withFiles = change.pairs.some(([, value]) => value instanceof Blob)) {
  const body = withFiles ? new FormData() : new URLSearchParams();
  change.pairs.forEach(([name, value]) => body.append(name, name === 'follows' ? change.follows : value));
  return body;
}

const tell = (name, change) => document.dispatchEvent(new CustomEvent(`outlay:${name}`, { detail: change }));

/** Let go of a change that went in. */
export async function settle(change) {
  await drop(change.order);
  tell('sent', change);
}

/** Keep a change that was not taken, for the person to decide. */
export async function ask(change, refused) {
  await alter(change.order, { state: 'asks', refused: { sentences: [], values: [], version: '', ...refused } });
  await stepOver(change);
  tell('asks', change);
}

/** Send one change; whether it was answered, so that the next may go. */
async function send(change) {
  const here = await contact([change.id]);
  if (!here) return false;
  if (here.saved.includes(change.id)) { await settle(change); return true; }
  if (change.epoch && here.epoch !== change.epoch) { await ask(change, { why: 'epoch' }); return true; }
  const ready = await readied(change, here.token);
  if (!ready) return false;
  let answer;
  try {
    const files = ready.pairs.some(([, value]) => value instanceof Blob);
    answer = await fetch(change.path, {
      method: 'POST',
      body: bodyOf(ready),
      headers: { 'X-Outlay-Token': here.token, 'HX-Request': 'true' },
      redirect: 'manual',
      signal: AbortSignal.timeout(files ? PATIENCE.file : PATIENCE.text),
    });
  } catch {
    return false;
  }
  return became(change, answer);
}

async function became(change, answer) {
  if (answer.ok) { await settle(change); return true; }
  if (answer.type === 'opaqueredirect') return wentElsewhere(change);
  if ([401, 408, 421, 425, 429, 502, 503, 504].includes(answer.status)) return false; // not now; asked again later
  if (answer.status >= 500 && (change.stumbled ?? 0) + 1 < TRIES) {
    await alter(change.order, { stumbled: (change.stumbled ?? 0) + 1 });
    return false;
  }
  await ask(change, await whatWasRefused(answer));
  return true;
}

/** Sent on to another page: only the record says whether it was saved. */
async function wentElsewhere(change) {
  const here = await contact([change.id]);
  if (!here) return false;
  if (here.saved.includes(change.id)) await settle(change);
  else await ask(change, { why: 'unclear' });
  return true;
}

/** Send all that waits before `order`; whether all of it was answered. To be called `alone`. */
export async function sendBefore(order = Infinity) {
  for (;;) {
    const next = (await all()).find((change) => change.state === 'waits' && change.order < order);
    if (!next) return true;
    if (!(await send(next))) return false;
  }
}

/** Note whether the program answers; while it does not, it is tried again by itself. */
export function noteReached(reached) {
  clearTimeout(timer);
  if (reached) {
    if (away) tell('back');
    away = 0;
    return;
  }
  away += 1;
  timer = setTimeout(flush, WAITS[Math.min(away, WAITS.length) - 1]);
}

export const isAway = () => away > 0;

/** Send all that waits. */
export async function flush() {
  clearTimeout(timer);
  if (document.body.classList.contains('client')) return; // what is ours waits until the tablet is ours again
  try {
    if (!(await all()).some((change) => change.state === 'waits')) { noteReached(true); return; }
    noteReached(await alone(() => sendBefore()));
  } catch {
    noteReached(false);
  }
}

window.addEventListener('online', flush);
window.addEventListener('focus', () => { if (away) flush(); });
document.addEventListener('visibilitychange', () => { if (away && !document.hidden) flush(); });
