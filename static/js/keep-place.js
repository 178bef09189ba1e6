// A save leaves the reader where they were: what was sent keeps its place in the window, whatever the answer put above
// it. (The browser's own anchoring is off in what answers replace, see page.css: it would hold on to a line that is
// about to go, and carry the reader to the foot of a long page.)

let place = null; // what was sent, and how far below the top of the window it stood

document.addEventListener('htmx:beforeSwap', ({ detail }) => {
  place = null;
  const { verb, elt } = detail.requestConfig ?? {};
  if (verb === 'get' || !elt?.isConnected || !detail.target?.contains(elt)) return;
  const kept = steady(elt, detail.target);
  if (kept) place = { ...kept, top: kept.one.getBoundingClientRect().top };
});

document.addEventListener('htmx:afterSettle', () => {
  if (!place) return;
  const { find, top, scroller } = place;
  place = null;
  const now = find();
  if (!now) return; // it went with the save: the page stays as far down as it is
  scroller.scrollBy({ top: now.getBoundingClientRect().top - top, behavior: 'instant' });
});

/** What the answer will have again of an element: itself or what it stands in, by its id, else its form by its address. */
function steady(elt, target) {
  const scroller = scrollerOf(target);
  const form = elt.closest('form');
  const action = form?.getAttribute('action');
  const named = elt.closest('[id]');
  if (named && named !== target && target.contains(named)) {
    return { one: named, scroller, find: () => document.getElementById(named.id) };
  }
  if (!action || !target.contains(form)) return null;
  const alike = () => [...document.forms].filter((one) => one.getAttribute('action') === action);
  const at = alike().indexOf(form); // several forms of a page may save to one address
  return { one: form, scroller, find: () => alike()[at] };
}

function scrollerOf(one) {
  for (let at = one; at; at = at.parentElement) {
    if (at.scrollHeight > at.clientHeight && /auto|scroll/.test(getComputedStyle(at).overflowY)) return at;
  }
  return document.scrollingElement;
}
