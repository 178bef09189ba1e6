// "Take with you": the pages named on the list are fetched and kept, to be opened without a network for fourteen hours.

import { ask, canKeep, ownFiles } from './worker.js';

const GOOD_FOR = 14 * 3600 * 1000; // ms
const clock = (at) => new Date(at).toLocaleTimeString(document.documentElement.lang || 'en', { hour: 'numeric', minute: '2-digit' });

async function take(button) {
  const place = button.closest('[data-take]');
  const said = place.querySelector('[data-said-taken]');
  const paths = place.querySelector('[data-pages]').dataset.pages.trim().split(/\s+/);
  const words = said.dataset;
  button.setAttribute('aria-disabled', 'true');
  said.textContent = words.busy;
  const kept = await ask({ does: 'take', paths: [...ownFiles(), window.location.pathname, ...paths] });
  const whole = kept === ownFiles().length + 1 + paths.length;
  said.textContent = whole ? words.done.replace('#', clock(Date.now() + GOOD_FOR)) : words.failed;
  button.removeAttribute('aria-disabled');
}

document.addEventListener('click', (event) => {
  const button = event.target.closest?.('[data-take-now]');
  if (button) void take(button);
});
if (!canKeep()) {
  document.querySelectorAll('[data-take]').forEach((place) => {
    place.querySelector('[data-take-now]').hidden = true;
    place.querySelector('[data-said-taken]').textContent = place.querySelector('[data-said-taken]').dataset.cannot;
  });
}
