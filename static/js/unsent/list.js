// What is not sent, to read as text, to save as a file, and to decide where it was not taken. It opens on any page, so that
// it is there without a network; `/unsent` shows the same.

import { freshId, lastChange, setLastChange } from '../change-ids.js';
import { asText, momentOf, refusalOf } from './words.js';
import { all, drop, keep } from './store.js';
import { flush } from './sending.js';

const copy = (id) => document.getElementById(id)?.content.cloneNode(true);
const fill = (part, name, text) => { const at = part.querySelector(`[data-${name}]`); if (at) at.textContent = text; };

function rowOf(change) {
  const part = copy(change.state === 'asks' ? 'unsent-asks' : 'unsent-waits');
  const row = part.firstElementChild;
  row.dataset.order = change.order;
  fill(row, 'what', change.what || change.path);
  fill(row, 'where', `${momentOf(change.at)}, ${change.where}`);
  const list = row.querySelector('[data-fields]');
  change.fields.forEach(([label, value]) => list.append(...pair(label, value)));
  row.querySelector('[data-page]')?.setAttribute('href', change.page);
  if (change.state !== 'asks') return row;
  fill(row, 'why', refusalOf(change));
  const both = row.querySelector('[data-both]');
  change.refused.values.forEach(([field, theirs, yours]) => {
    const line = copy('unsent-both').firstElementChild;
    Object.entries({ field, theirs, yours }).forEach(([name, text]) => fill(line, name, text));
    both.append(line);
  });
  return row;
}

function pair(label, value) {
  const term = Object.assign(document.createElement('dt'), { textContent: label });
  const typed = Object.assign(document.createElement('dd'), { textContent: value });
  return [term, typed];
}

async function show() {
  const places = document.querySelectorAll('[data-unsent-list]');
  if (!places.length) return;
  const changes = await all().catch(() => []);
  places.forEach((place) => {
    place.querySelector('[data-rows]').replaceChildren(...changes.map(rowOf));
    place.querySelector('[data-none]').hidden = changes.length > 0;
    place.querySelector('[data-some]').hidden = !changes.length;
  });
}

/** Mine again, on what it is now; or as it was typed, where nobody was ahead. */
async function sendAgain(change) {
  const { order, state, refused, stumbled, ...same } = change;
  const version = refused.version;
  const mine = new Set(refused.values.map(([field]) => field.replaceAll(' ', '_')));
  const sent = new Set(change.pairs.map(([name]) => name.split('.')[0]));
  const whole = [...mine].some((field) => !sent.has(field)); // a shape is sent by other names than those of its fields
  const ours = (name) => ['version', 'focus', 'lift'].includes(name) || !mine.size || whole || mine.has(name.split('.')[0]);
  const id = freshId();
  await keep({
    ...same,
    id,
    follows: lastChange() === change.id ? change.follows : lastChange(),
    pairs: change.pairs.filter(([name]) => name === 'change_id' || name === 'follows' || ours(name))
      .map(([name, value]) => [name, name === 'change_id' ? id : name === 'version' && version ? version : value]),
    epoch: document.querySelector('meta[name="epoch"]')?.content ?? '',
    state: 'waits',
  });
  setLastChange(id);
  await drop(order);
  await flush();
}

async function saveAsFile() {
  const text = asText(await all());
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type: 'text/plain;charset=utf-8' }));
  link.download = `not-sent-${new Date().toISOString().slice(0, 10)}.txt`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

document.addEventListener('click', async (event) => {
  const link = event.target.closest?.('#unsent');
  if (link && !document.querySelector('main [data-unsent-list]')) {
    event.preventDefault();
    open();
    return;
  }
  const button = event.target.closest?.('[data-unsent]');
  if (!button) return;
  const order = Number(button.closest('[data-order]')?.dataset.order);
  const change = order ? (await all()).find((one) => one.order === order) : null;
  const does = { now: flush, file: saveAsFile, close: () => button.closest('dialog').close() }[button.dataset.unsent];
  if (does) await does();
  else if (change && button.dataset.unsent === 'again') await sendAgain(change);
  else if (change && button.dataset.unsent === 'drop') await drop(order);
});

function open() {
  document.querySelector('dialog.unsent')?.remove();
  document.body.append(copy('unsent-dialog'));
  const dialog = document.querySelector('dialog.unsent');
  dialog.addEventListener('close', () => dialog.remove());
  dialog.showModal();
  void show();
}

document.addEventListener('outlay:unsent', show);
void show();
