// What the program said when it did not take a change: its sentences, and both values where somebody was ahead.

const text = (found) => found?.textContent.trim() ?? '';

/** `{ why, sentences, values: [[field, theirs, yours]], version }` from an answer. */
export async function whatWasRefused(answer) {
  if ((answer.headers.get('content-type') ?? '').startsWith('text/plain')) return { why: String(answer.status), sentences: [await answer.text()] };
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const stale = page.querySelector('[data-stale]');
  if (stale) {
    return {
      why: 'stale',
      sentences: [text(stale.querySelector('[data-stale-sentence]'))],
      values: [...stale.querySelectorAll('[data-stale-field]')].map((one) => [
        one.dataset.staleField, text(one.querySelector('[data-theirs]')), text(one.querySelector('[data-yours]')),
      ]),
      version: stale.querySelector('input[name="version"]')?.value ?? '',
    };
  }
  const said = [...page.querySelectorAll('[data-said] p, .wrong, .empty h1')].map(text).filter(Boolean);
  return { why: String(answer.status), sentences: [...new Set(said)].slice(0, 6), values: [], version: '' };
}
