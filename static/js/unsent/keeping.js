// A change is kept on this device before it is sent, and let go of once it is answered. When the program does not
// answer it waits: what was typed stays in its form too, and goes in by itself when the program is back.

import { freshId, lastChange, setLastChange } from '../change-ids.js';
import { alone } from './one-sender.js';
import { atOnce, hasSecret } from './at-once.js';
import { told } from './told.js';
import { drop, get, keep, stepOver } from './store.js';
import { ask, bodyOf, flush, noteReached, readied, sendBefore } from './sending.js';

const OURS = ['token', 'change_id', 'follows'];
const unanswered = new Map(); // change id → what was sent under it

export const epoch = () => document.querySelector('meta[name="epoch"]')?.content ?? '';
const plain = (value) => (value instanceof Blob ? `${value.name} ${value.size} ${value.lastModified}` : String(value));
export const contentOf = (path, pairs) => JSON.stringify([path, pairs.filter(([name]) => !OURS.includes(name)).map(([name, value]) => [name, plain(value)])]);

/** An id under which something else waits is not used twice: what was typed since is a change of its own. */
export const usedUp = (id, content) => unanswered.has(id) && unanswered.get(id) !== content;
export const answered = (id) => unanswered.delete(id);

/** A change as it is kept. */
export function changeOf(path, pairs, form, submitter) {
  const value = Object.fromEntries(pairs);
  unanswered.set(value.change_id, contentOf(path, pairs));
  return {
    id: value.change_id,
    follows: value.follows ?? '',
    path,
    pairs: pairs.filter(([name]) => name !== 'token'),
    epoch: epoch(),
    at: new Date().toISOString(),
    state: 'waits',
    ...told(form, pairs, submitter),
  };
}

/** What was not taken, and was said so in its form, leaves the chain. */
export async function leaveChain(change) {
  await stepOver(change);
  if (lastChange() === change.id) setLastChange(change.follows);
}

document.addEventListener('htmx:configRequest', ({ detail }) => {
  const { parameters, formData, path, verb } = detail;
  if (verb === 'get') return;
  const id = parameters.change_id;
  if (!id || usedUp(id, contentOf(path, [...formData.entries()]))) parameters.change_id = freshId();
  parameters.follows = lastChange();
});

document.addEventListener('htmx:beforeOnLoad', ({ detail: { xhr, requestConfig } }) => {
  const id = requestConfig.parameters.change_id;
  if (requestConfig.verb !== 'get' && id && xhr.status < 400 && !unanswered.has(id)) setLastChange(id); // sent at once
});

document.addEventListener('htmx:beforeSend', ({ detail }) => {
  const { xhr, requestConfig } = detail;
  const { path, verb, formData } = requestConfig;
  const pairs = [...formData.entries()];
  const files = pairs.some(([, value]) => value instanceof Blob && value.size > 0);
  const form = requestConfig.elt.closest('form');
  if (verb === 'get' || !formData.get('change_id') || atOnce(path, files, hasSecret(form))) return;
  const change = changeOf(path, pairs, form, requestConfig.triggeringEvent?.submitter);
  setLastChange(change.id);
  const send = XMLHttpRequest.prototype.send.bind(xhr);
  xhr.send = (body) => { void hold(change, { xhr, send, body }); };
});

async function hold(change, request) {
  try {
    change.order = await keep(change);
  } catch {
    request.send(request.body); // this browser keeps nothing: sent as it is
    return;
  }
  await alone(() => sendHere(change, request)).catch(() => request.xhr.onerror?.());
}

/** Send in its turn, on the page where it was made, so that the answer is shown there. */
async function sendHere(change, { xhr, send, body }) {
  if (!(await sendBefore(change.order))) { unreached(xhr); return; }
  const now = (await get(change.order)) ?? change;
  const ready = await readied(now, document.querySelector('meta[name="token"]')?.content ?? '');
  if (!ready) { unreached(xhr); return; }
  const ended = new Promise((resolve) => { xhr.addEventListener('loadend', resolve); });
  const other = ready !== now || now.follows !== change.follows;
  send(other ? bodyOf(ready, body instanceof FormData) : body);
  await ended;
  await became(now, xhr.status);
}

function unreached(xhr) {
  noteReached(false);
  xhr.onerror();
}

async function became(change, status) {
  noteReached(status > 0);
  if (!status) return;
  answered(change.id);
  if (status < 400) await drop(change.order);
  else if (status === 409 || status === 422) { // its form says so
    await drop(change.order);
    await leaveChain(change);
  } else if (status === 404 || status === 413) await ask(change, { why: String(status) });
  else setTimeout(flush, 50); // the record, or a page that is up to date, says what became of it
}
