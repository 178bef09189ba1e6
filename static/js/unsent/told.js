// A form in words, so that what is not sent can be read: the label of each field with what was typed into it.

const labelOf = (field) => {
  const legend = field.type === 'radio' || field.type === 'checkbox' ? field.closest('fieldset')?.querySelector('legend') : null;
  const words = (legend ?? field.labels?.[0])?.textContent ?? field.getAttribute('aria-label') ?? field.name;
  return words.trim().replace(/\s+/g, ' ');
};

function valueOf(field) {
  if (field.type === 'checkbox' || field.type === 'radio') return field.labels?.[0]?.textContent.trim() ?? field.value;
  if (field.tagName === 'SELECT') return [...field.selectedOptions].map((one) => one.textContent.trim()).join(', ');
  if (field.type === 'file') return [...field.files].map((file) => `${file.name} (${Math.ceil(file.size / 1000)} kB)`).join(', ');
  return field.value;
}

function moved(field) {
  if (field.type === 'checkbox' || field.type === 'radio') return field.checked !== field.defaultChecked;
  if (field.tagName === 'SELECT') return [...field.options].some((one) => one.selected !== one.defaultSelected);
  return field.value !== field.defaultValue;
}

const isTyped = (field) => field.name && !['hidden', 'submit', 'button'].includes(field.type) && field.tagName !== 'BUTTON';

/** `{ what, where, fields: [[label, value]] }` of what a form sends; without a form, of its pairs. */
export function told(form, pairs, submitter) {
  const heading = (form?.closest('section, details, li') ?? form)?.querySelector('h1, h2, h3, summary, strong')?.textContent ?? '';
  const savesItself = form?.getAttribute('hx-trigger')?.includes('change'); // its button is for those without script
  const button = submitter ?? (savesItself ? null : form?.querySelector('button:not([type="button"])'));
  const inputs = form ? [...form.elements].filter(isTyped) : [];
  const told = inputs.filter((field) => moved(field) || field.closest('[data-told]')); // some are told though ticked before
  const shown = inputs.some(moved) ? told : inputs;
  const fields = form
    ? shown.filter((field) => !['checkbox', 'radio'].includes(field.type) || field.checked).map((field) => [labelOf(field), valueOf(field)])
    : pairs.filter(([name]) => !['change_id', 'follows', 'version', 'focus', 'token'].includes(name)).map(([name, value]) => [name.replaceAll('_', ' '), String(value)]);
  return {
    what: [heading, button?.textContent ?? ''].map((one) => one.trim().replace(/\s+/g, ' ')).filter(Boolean).join(': '),
    where: `${document.querySelector('.title-block strong')?.textContent.trim() ?? ''} ${document.title}`.trim(),
    page: window.location.pathname + window.location.search,
    fields: fields.filter(([, value]) => value !== ''),
  };
}
