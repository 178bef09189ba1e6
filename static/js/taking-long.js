// What takes seconds (pages made, a signature locked) says so on the button that was tapped, and is tapped once.

const was = new WeakMap(); // button → its words

/** The button of a form that is being sent: what it does now in place of what it would do; old refusals are put away. */
export function begin(form, button) {
  if (!button?.dataset.busy || was.has(button)) return;
  was.set(button, button.textContent);
  button.textContent = button.dataset.busy;
  button.setAttribute('aria-disabled', 'true');
  form.querySelectorAll('.wrong').forEach((one) => { one.hidden = true; });
}

/** Nothing came of it, or the same page stands there again. */
export function end(form) {
  form.querySelectorAll('[data-busy]').forEach((button) => {
    if (was.has(button)) button.textContent = was.get(button);
    was.delete(button);
    button.removeAttribute('aria-disabled');
  });
}

document.addEventListener('htmx:beforeRequest', ({ detail: { elt, requestConfig } }) => {
  if (elt.matches('form')) begin(elt, requestConfig.triggeringEvent?.submitter ?? elt.querySelector('[data-busy]'));
});
document.addEventListener('htmx:afterRequest', ({ detail: { elt } }) => { if (elt.matches('form')) end(elt); });
window.addEventListener('pageshow', () => [...document.forms].forEach(end)); // gone back to
