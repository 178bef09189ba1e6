// A save leaves the reader where they were: what was sent keeps its place in the window, whatever the answer put above
// it; what a link in it asked for opens where the reader is. (The browser's own anchoring is off in what answers replace,
// see page.css, but not below it: it would hold on to a line that is about to go, or to the margin under the page, and
// carry the reader to the foot of a long page.)

document.querySelectorAll('[data-answer]').forEach((one) => one.removeAttribute('data-answer')); // what came with the page

let place = null; // what was sent, and how far below the top of the window it stood; else how far down the page was

document.addEventListener('htmx:beforeSwap', ({ detail }) => {
  place = null;
  const { verb, elt, triggeringEvent } = detail.requestConfig ?? {};
  if (!elt?.isConnected || !detail.target?.contains(elt)) return;
  const scroller = scrollerOf(detail.target);
  const kept = verb === 'get' ? null : steady(elt, detail.target);
  if (kept) place = { ...kept, scroller, top: kept.one.getBoundingClientRect().top };
  else if (triggeringEvent?.type === 'click') place = { scroller, down: scroller.scrollTop }; // not what comes by itself
});

document.addEventListener('htmx:afterSettle', ({ detail }) => {
  const answer = detail.requestConfig?.verb === 'post' && document.querySelector('[data-answer]'); // in the margin, too
  if (answer) {
    answer.removeAttribute('data-answer'); // shown once: what is saved next keeps its own place
    answer.scrollIntoView({ block: 'start', behavior: 'instant' });
    place = null;
  }
  if (!place) return;
  const { find, top, scroller, down } = place;
  place = null;
  const now = find?.();
  if (!now && document.activeElement?.matches('[autofocus]')) return; // the answer says where to look
  if (!now) scroller.scrollTop = down ?? scroller.scrollTop; // what was sent went with the save
  else scroller.scrollBy({ top: now.getBoundingClientRect().top - top, behavior: 'instant' });
});

/** What the answer will have again of an element: itself or what it stands in, by its id, else its form by its address. */
function steady(elt, target) {
  const form = elt.closest('form');
  const action = form?.getAttribute('action');
  const named = elt.closest('[id]');
  if (named && named !== target && target.contains(named)) {
    return { one: named, find: () => document.getElementById(named.id) };
  }
  if (!action || !target.contains(form)) return null;
  const alike = () => [...document.forms].filter((one) => one.getAttribute('action') === action);
  const at = alike().indexOf(form); // several forms of a page may save to one address
  return { one: form, find: () => alike()[at] };
}

function scrollerOf(one) {
  for (let at = one; at; at = at.parentElement) {
    if (at.scrollHeight > at.clientHeight && /auto|scroll/.test(getComputedStyle(at).overflowY)) return at;
  }
  return document.scrollingElement;
}
