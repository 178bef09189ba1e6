// Each change has an id made on this device, so that sending it twice changes nothing twice; and it names the change
// of this device that it was made after, so that a chain of edits is not stale against itself.

const LAST = 'outlay.last-change';

/** A random UUID (version 4). `crypto.randomUUID` is missing on a tablet over plain HTTP; this is not. */
export function freshId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/** The newest change made here, answered or not. */
export const lastChange = () => sessionStorage.getItem(LAST) ?? '';
export const setLastChange = (id) => sessionStorage.setItem(LAST, id);

/** An id is used up with its change: every form on the page that held it gets another. */
export function useUp(id) {
  document.querySelectorAll('input[name="change_id"]').forEach((field) => {
    if (field.value === id) field.value = freshId();
  });
}

document.addEventListener('htmx:beforeOnLoad', ({ detail }) => {
  const { xhr, requestConfig } = detail;
  const id = requestConfig.parameters.change_id;
  if (requestConfig.verb === 'get' || !id || xhr.status >= 400) return;
  useUp(id);
});

// A page shown from what this device kept holds ids that may be used up already.
if (document.documentElement.dataset.asOf) {
  document.querySelectorAll('input[name="change_id"]').forEach((field) => { field.value = freshId(); });
}
