// A page that was kept says so, with its time, and is made new when the program is back and nothing is being typed.

import { contact } from '../unsent/contact.js';
import { flush } from '../unsent/sending.js';
import { isTouched } from './touched.js';

const EVERY = 10000; // ms
const { asOf, notKept } = document.documentElement.dataset;
const place = document.getElementById('as-of');

const clock = (at) => {
  const moment = new Date(at);
  const today = moment.toDateString() === new Date().toDateString();
  return moment.toLocaleString(document.documentElement.lang || 'en', { ...(today ? {} : { weekday: 'short', month: 'short', day: 'numeric' }), hour: 'numeric', minute: '2-digit' });
};

function say(words) {
  place.textContent = words;
  place.hidden = false;
}

async function look() {
  if (document.hidden || !(await contact())) return;
  await flush();
  if (!isTouched()) window.location.reload();
}

if (asOf && place) say(place.dataset.words.replace('#', clock(asOf)));
if (notKept && place) say(place.dataset.notKept);
if (asOf || notKept) {
  setInterval(look, EVERY);
  window.addEventListener('online', look);
}
