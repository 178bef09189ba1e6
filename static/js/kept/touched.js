// Whether somebody is at work on a page: a field that holds what is not saved, or that the caret is in.

const TYPED = 'input:not([type="hidden"]):not([type="search"]), textarea, select';

function moved(field) {
  if (field.type === 'checkbox' || field.type === 'radio') return field.checked !== field.defaultChecked;
  if (field.type === 'file') return field.files.length > 0;
  if (field.tagName === 'SELECT') return [...field.options].some((one) => one.selected !== one.defaultSelected) && [...field.options].some((one) => one.defaultSelected);
  return field.value !== field.defaultValue;
}

/** The forms of a part of the page that somebody typed into, or is in. */
export function touchedForms(root = document) {
  const fields = [...root.querySelectorAll(TYPED)].filter((field) => field.form && (moved(field) || field === document.activeElement));
  return [...new Set(fields.map((field) => field.form))];
}

export const isTouched = (root = document) => touchedForms(root).length > 0;
