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

// What will be replaced is not known before it happens (an answer may carry several parts), so all that was typed in the
// meantime is held, and put back where its field was replaced by a new one of the same id.
document.addEventListener('htmx:beforeSwap', () => {
  held = [...typedSince]
    .filter((field) => field.id && !['file', 'hidden'].includes(field.type))
    .map((field) => ({
      field,
      value: field.value,
      checked: field.checked,
      caret: field === document.activeElement ? caretOf(field) : null,
    }));
});

document.addEventListener('htmx:afterSettle', () => {
  const back = held;
  held = [];
  for (const { field: old, value, checked, caret } of back) {
    const field = old.isConnected ? null : document.getElementById(old.id);
    if (!field) continue;
    field.value = value;
    if (checked !== undefined) field.checked = checked;
    if (caret?.length) field.setSelectionRange(...caret);
    if (!caret) field.dispatchEvent(new Event('change', { bubbles: true })); // left already: its own save is still to come
  }
});

/** Start and end of the selection, where the kind of field has one. */
function caretOf(field) {
  return field.selectionStart === null || field.selectionStart === undefined
    ? [] : [field.selectionStart, field.selectionEnd];
}
