// A length field brings its own row of keys on a touch screen: digits, feet, inches, fractions, meters, backspace.
// While it is shown the field asks for no keyboard; with mouse and keyboard there is no row.

const EIGHTHS = ['', '⅛', '¼', '⅜', '½', '⅝', '¾', '⅞'];
let row = null;
let touched = matchMedia('(pointer: coarse)').matches;

document.addEventListener('pointerdown', (event) => {
  touched = event.pointerType !== 'mouse';
  const field = event.target.closest?.('input[data-length]');
  if (field) field.inputMode = touched ? 'none' : '';
}, true);

document.addEventListener('focusin', ({ target }) => {
  if (row?.contains(target)) return;
  if (row && row.field !== target) hide();
  if (touched && target.matches?.('input[data-length]')) show(target);
});
document.addEventListener('focusout', ({ target, relatedTarget }) => {
  if (row && target === row.field && !row.contains(relatedTarget)) hide();
});

function show(field) {
  const template = document.getElementById('length-keys');
  if (!template || (row && row.field === field)) return;
  row = template.content.firstElementChild.cloneNode(true);
  row.field = field;
  field.inputMode = 'none';
  row.addEventListener('pointerdown', (event) => event.preventDefault()); // the field keeps the focus and the caret
  row.addEventListener('click', (event) => press(event.target.closest('button')));
  (field.closest('.field') ?? field).append(row);
  field.scrollIntoView({ block: 'nearest' });
}

function hide() {
  row.field.inputMode = '';
  row.remove();
  row = null;
}

function press(key) {
  if (!key) return;
  const { field } = row;
  if (key.dataset.does === 'done') { field.blur(); return; }
  field.focus();
  if (key.dataset.does === 'backspace') backspace(field);
  else if (EIGHTHS.includes(key.value)) fraction(field, key.value);
  else type(field, key.value);
  field.dispatchEvent(new Event('input', { bubbles: true }));
}

function type(field, text, from = field.selectionStart) {
  field.setRangeText(text, from, field.selectionEnd, 'end');
  changed.add(field);
}

function backspace(field) {
  const from = field.selectionStart === field.selectionEnd ? Math.max(0, field.selectionStart - 1) : field.selectionStart;
  type(field, '', from);
}

/** Fractions add up: ½ then ¼ reads ¾. */
function fraction(field, sign) {
  const at = field.selectionStart;
  const before = EIGHTHS.indexOf(field.value.slice(at - 1, at));
  const sum = EIGHTHS.indexOf(sign) + before;
  if (at > 0 && before > 0 && sum < 8) type(field, EIGHTHS[sum], at - 1);
  else if (!(before > 0)) type(field, sign);
}

// Text set by script brings no change event of its own when the field is left.
const changed = new WeakSet();
document.addEventListener('change', ({ target }) => changed.delete(target), true);
document.addEventListener('focusout', ({ target, relatedTarget }) => {
  if (!changed.has(target) || row?.contains(relatedTarget)) return;
  changed.delete(target);
  target.dispatchEvent(new Event('change', { bubbles: true }));
});
