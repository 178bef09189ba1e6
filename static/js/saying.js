// When the program does not answer, one sentence says so: a change is kept and waits, what must be answered at once was
// not done, and what was only asked for is not shown. Said once while the program is away. Of what was sent and not
// answered in time nobody knows: it may be done, and the page says so as soon as it is.

import { atOnce } from './unsent/at-once.js';

const place = () => document.getElementById('said');
let said = '';

export function say(key) {
  const words = document.getElementById(key)?.content.cloneNode(true);
  if (!words || !place()) return;
  said = key;
  place().replaceChildren(words);
}

function notAnswering({ type, detail: { requestConfig } }) {
  const { verb, path, formData } = requestConfig;
  if (verb === 'get') { say('not-shown'); return; }
  const files = [...formData.values()].some((value) => value instanceof Blob && value.size > 0);
  const why = atOnce(path, files);
  if (why) say(type === 'htmx:timeout' ? 'at-once-late' : why);
  else if (said !== 'not-answering') say('not-answering'); // closed by the person, it stays closed
}

document.addEventListener('htmx:sendError', notAnswering);
document.addEventListener('htmx:timeout', notAnswering);

function quiet() {
  said = '';
  place()?.replaceChildren();
}
document.addEventListener('outlay:back', quiet);
document.addEventListener('htmx:afterRequest', ({ detail }) => { if (detail.successful) quiet(); });
document.addEventListener('click', (event) => {
  if (event.target.closest?.('[data-close-said]')) place()?.replaceChildren();
});
