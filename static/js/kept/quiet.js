// What others change appears by itself: the page asks now and then whether its job was changed, and takes the new state
// in while nobody is at it. A form that somebody is typing into stays as it is, with the version it was read at: saved,
// it is held against what came in between, and both values are shown.

import htmx from 'htmx.org';
import { contact } from '../unsent/contact.js';
import { touchedForms } from './touched.js';

const EVERY = 5000; // ms
const STILL = 4000; // ms since the last touch
const STILL_AT_A_FIELD = 20000; // ms, where the caret is in a field
const job = /^\/jobs\/([0-9a-f-]{36})\//.exec(window.location.pathname)?.[1];
let touched = 0;
let pressed = false;

['pointerdown', 'keydown', 'input', 'wheel', 'touchmove'].forEach((name) => document.addEventListener(name, () => { touched = Date.now(); }, { passive: true, capture: true }));
document.addEventListener('pointerdown', () => { pressed = true; }, true);
['pointerup', 'pointercancel'].forEach((name) => document.addEventListener(name, () => { pressed = false; }, true));

const part = () => document.getElementById('page-part');
const shown = () => document.getElementById('saved')?.dataset.at;
const isAtAField = () => document.activeElement?.matches('input, textarea, select') ?? false;
const isAtWork = () => pressed || Date.now() - touched < (isAtAField() ? STILL_AT_A_FIELD : STILL)
  || document.querySelector('.htmx-request, dialog[open], html[data-unsent]') !== null;

async function look() {
  if (document.hidden || isAtWork() || shown() === undefined) return;
  const told = await contact([], job);
  if (told?.at && told.at !== shown() && !isAtWork()) await takeIn();
}

/** The page as it is now, around the forms that somebody typed into, the parts that stand open and where it was read. */
async function takeIn() {
  const asked = Date.now();
  let taken = false;
  const open = openParts();
  const scrollers = [document.scrollingElement, document.getElementById('main'), document.querySelector('.margin')].filter(Boolean).map((one) => [one, one.scrollTop]);
  const caret = document.activeElement;
  let kept = [];
  const hold = ({ detail }) => {
    if (detail.target !== part()) return;
    taken = !pressed && touched <= asked && !document.querySelector('.htmx-request:not(body)');
    if (taken) kept = held();
    else detail.shouldSwap = false; // somebody is at it again: what is under a finger is not taken away, it comes later
  };
  document.addEventListener('htmx:beforeSwap', hold, { once: true });
  await htmx.ajax('GET', window.location.pathname + window.location.search, { target: '#page-part', swap: 'innerHTML' }).catch(() => {});
  document.removeEventListener('htmx:beforeSwap', hold);
  if (!taken) return;
  kept.forEach(putBack);
  open.forEach((key) => { const one = parts().find(([name]) => name === key)?.[1]; if (one) one.open = true; });
  scrollers.forEach(([one, top]) => { one.scrollTop = top; });
  if (caret?.isConnected && caret !== document.body) caret.focus({ preventScroll: true });
}

/** The forms somebody typed into, each with its place: its address, and which of those with the same it is. */
function held() {
  const places = ['page-part', 'margin-part'].map((id) => document.getElementById(id)).filter(Boolean);
  return places.flatMap((place) => touchedForms(place)).map((form) => {
    const action = form.getAttribute('action');
    const at = alike(action).indexOf(form);
    return { form, action, at };
  }).map((one) => { one.form.remove(); return one; });
}

const alike = (action) => [...document.forms].filter((one) => one.getAttribute('action') === action);

function putBack({ form, action, at }) {
  const now = alike(action)[at];
  if (now) now.replaceWith(form);
  else part().prepend(form); // what it was about is gone: what was typed is not
}

/** What folds open, by its words and which of those with the same it is. */
function parts() {
  const count = new Map();
  return [...document.querySelectorAll('#page-part details, #margin-part details')].map((one) => {
    const words = one.querySelector('summary')?.textContent.trim() ?? '';
    count.set(words, (count.get(words) ?? 0) + 1);
    return [`${words} ${count.get(words)}`, one];
  });
}
const openParts = () => parts().filter(([, one]) => one.open).map(([key]) => key);

if (job && !document.documentElement.dataset.asOf) setInterval(look, EVERY);
document.addEventListener('outlay:sent', () => { touched = Math.min(touched, Date.now() - STILL); }); // its figures are awaited
