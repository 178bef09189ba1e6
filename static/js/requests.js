// Every request htmx makes carries the page's token; a form that is being sent is not sent twice.
//
// A form that saves itself when a field is left:
//   <form method="post" action="/…" hx-post="/…" hx-trigger="change" hx-target="#zone" hx-swap="outerHTML">
// and keeps a button for those without script. While one save is under way htmx holds back the next and sends the
// latest state after it, so nothing typed is lost and nothing is sent twice.

import { atOnce } from './unsent/at-once.js';

const PATIENCE = 120000; // ms for what must be answered at once: pages are printed and sealed in it, on a busy machine, too

const token = () => document.querySelector('meta[name="token"]')?.content ?? '';

document.addEventListener('htmx:configRequest', (event) => {
  const { detail } = event;
  detail.headers['X-Outlay-Token'] = token();
  if (detail.verb !== 'get' && atOnce(detail.path)) detail.timeout = PATIENCE; // it waits in no store for a second try
});

const REFUSED = new Set([409, 422]); // the form comes back with its sentences

document.addEventListener('htmx:beforeSwap', (event) => {
  const { detail } = event;
  if (REFUSED.has(detail.xhr.status)) {
    detail.shouldSwap = true;
    detail.isError = false;
  }
  if (/^\s*<[a-z]+[^>]*\bdata-said\b/.test(detail.serverResponse ?? '')) {
    // A sentence about the whole request, not the form: it goes to its own place and leaves the form alone.
    detail.shouldSwap = true;
    detail.target = document.getElementById('said') ?? detail.target;
    detail.swapOverride = 'innerHTML';
  }
});

// What is shown after a save has an address of its own: without it, a link to where the page began would do nothing.
document.addEventListener('htmx:afterSwap', ({ detail }) => {
  const shown = detail.xhr.getResponseHeader('X-Outlay-Page');
  if (shown?.startsWith('/') && !shown.startsWith('//')) window.history.replaceState(window.history.state, '', shown);
});

window.addEventListener('pageshow', (event) => {
  if (event.persisted) window.location.reload(); // a page brought back would hold used-up ids
});

const buttonsOf = (form) => form?.querySelectorAll?.('button:not([type="button"])') ?? [];
document.addEventListener('htmx:beforeRequest', ({ detail }) => {
  if (detail.requestConfig.verb === 'get') return;
  buttonsOf(detail.elt.closest('form')).forEach((button) => button.setAttribute('aria-disabled', 'true'));
});
document.addEventListener('htmx:afterRequest', ({ detail }) => {
  buttonsOf(detail.elt.closest('form')).forEach((button) => button.removeAttribute('aria-disabled'));
});
document.addEventListener('click', (event) => {
  if (event.target.closest?.('button[aria-disabled="true"]')) event.preventDefault();
}, true);
