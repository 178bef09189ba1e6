// An answer that replaces a form never takes away what was typed while it was on its way, nor the caret.

let typedSince = new Set();
let waiting = 0;
let held = [];

document.addEventListener('input', (event) => {
  if (waiting > 0) typedSince.add(event.target);
});
document.addEventListener('htmx:beforeRequest', () => {
  if (waiting === 0) typedSince = new Set();
  waiting += 1;
});
document.addEventListener('htmx:afterRequest', () => { waiting = Math.max(0, waiting - 1); });

const named = (field) => (field.id ? `#${CSS.escape(field.id)}` : '');

document.addEventListener('htmx:beforeSwap', ({ detail }) => {
  held = [...typedSince]
    .filter((field) => detail.target.contains(field) && named(field) && !['file', 'hidden'].includes(field.type))
    .map((field) => ({
      where: named(field),
      value: field.value,
      checked: field.checked,
      left: field !== document.activeElement, // left in the meantime: its own save is still to come
    }));
});

document.addEventListener('htmx:afterSettle', () => {
  const back = held;
  held = [];
  for (const { where, value, checked, left } of back) {
    const field = document.querySelector(where);
    if (!field) continue;
    const [start, end] = field === document.activeElement && field.selectionStart !== null
      ? [field.selectionStart, field.selectionEnd] : [null, null];
    field.value = value;
    if (checked !== undefined) field.checked = checked;
    if (start !== null) field.setSelectionRange?.(start, end);
    if (left) field.dispatchEvent(new Event('change', { bubbles: true }));
  }
});
