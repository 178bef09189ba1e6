// Forms that lead to another page are sent by script, so that what they hold can wait as well. One that must be answered
// at once is only let go while the program answers, else the browser would put its own page in place of what was typed.

import htmx from 'htmx.org';
import { freshId, lastChange, setLastChange, useUp } from '../change-ids.js';
import { say } from '../saying.js';
import { begin, end } from '../taking-long.js';
import { alone } from './one-sender.js';
import { atOnce, hasSecret } from './at-once.js';
import { reached } from './contact.js';
import { answered, changeOf, contentOf, leaveChain, usedUp } from './keeping.js';
import { bodyOf, flush, noteReached, readied, sendBefore } from './sending.js';
import { drop, get, keep } from './store.js';

const busy = new WeakSet();

document.addEventListener('submit', (event) => {
  const { target: form, submitter } = event;
  if (event.defaultPrevented || form.method !== 'post' || form.hasAttribute('hx-post')) return;
  if (busy.has(form)) { event.preventDefault(); return; }
  const path = submitter?.getAttribute('formaction') ?? form.getAttribute('action') ?? window.location.pathname;
  const pairs = [...new FormData(form, submitter).entries()];
  const files = pairs.some(([, value]) => value instanceof Blob && value.size > 0);
  const why = atOnce(path, files, hasSecret(form));
  const id = form.querySelector('input[name="change_id"]');
  event.preventDefault();
  busy.add(form);
  begin(form, submitter);
  const work = why || !id ? goNow(form, submitter, why) : hold(form, path, pairs, submitter);
  work.finally(() => busy.delete(form));
});

/** As the browser does it, once the program has answered. */
async function goNow(form, submitter, why) {
  if (!(await reached())) { end(form); say(why ?? 'at-once-answer'); return; }
  const follows = form.querySelector('input[name="follows"]');
  if (follows) follows.value = lastChange();
  if (submitter?.name) {
    const chosen = Object.assign(document.createElement('input'), { type: 'hidden', name: submitter.name, value: submitter.value });
    form.append(chosen);
  }
  HTMLFormElement.prototype.submit.call(form);
}

async function hold(form, path, pairs, submitter) {
  const content = contentOf(path, pairs);
  const named = Object.fromEntries(pairs);
  const values = { change_id: usedUp(named.change_id, content) ? freshId() : named.change_id, follows: lastChange() };
  const change = changeOf(path, pairs.map(([name, value]) => [name, values[name] ?? value]), form, submitter);
  setLastChange(change.id);
  try {
    change.order = await keep(change);
  } catch {
    HTMLFormElement.prototype.submit.call(form); // this browser keeps nothing: sent as it is
    return;
  }
  const answer = await alone(() => sendHere(change)).catch(() => null);
  noteReached(answer !== null);
  if (!answer && form.hasAttribute('data-another')) form.reset(); // kept: the next one may be typed
  if (!answer) say('not-answering');
  else await show(change, answer);
  end(form);
}

async function sendHere(change) {
  if (!(await sendBefore(change.order))) return null;
  const now = (await get(change.order)) ?? change;
  const token = document.querySelector('meta[name="token"]')?.content ?? '';
  const ready = await readied(now, token);
  if (!ready) return null;
  const answer = await fetch(change.path, { method: 'POST', body: bodyOf(ready), headers: { 'X-Outlay-Token': token, 'X-Outlay-Form': '1' } });
  if (answer.ok || [409, 422].includes(answer.status)) await drop(change.order);
  return answer;
}

/** To a page, afresh even where only its #place is another than what is shown. */
function goOn(address) {
  const { pathname, search } = window.location;
  const to = new URL(address, window.location.href);
  if (!to.hash || to.pathname !== pathname || to.search !== search) { window.location.assign(to); return; }
  window.history.replaceState(null, '', to);
  window.location.reload();
}

/** The page that the answer leads to, or the same page with the sentences beside its fields. */
async function show(change, answer) {
  answered(change.id);
  const place = answer.headers.get('X-Outlay-Page');
  if (answer.ok && (place || answer.redirected)) { goOn(place ?? answer.url); return; }
  if (!answer.ok) await leaveChain(change);
  if (answer.status >= 400 && ![409, 422].includes(answer.status)) setTimeout(flush, 50);
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const main = page.getElementById('main');
  if (!main) { say('not-answering'); return; }
  document.title = page.title;
  document.getElementById('main').replaceChildren(...main.childNodes);
  if (answer.ok) useUp(change.id);
  htmx.process(document.getElementById('main'));
  document.querySelector('#main [autofocus]')?.focus();
}
