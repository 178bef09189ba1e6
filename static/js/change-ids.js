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

const last = () => sessionStorage.getItem(LAST) ?? '';

document.addEventListener('htmx:configRequest', ({ detail }) => {
  if (detail.verb === 'get') return;
  if (!detail.parameters.change_id) detail.parameters.change_id = freshId();
  detail.parameters.follows = last();
});

document.addEventListener('htmx:beforeOnLoad', ({ detail }) => {
  const { xhr, requestConfig } = detail;
  const id = requestConfig.parameters.change_id;
  if (requestConfig.verb === 'get' || !id || xhr.status >= 400) return;
  sessionStorage.setItem(LAST, id);
  document.querySelectorAll('input[name="change_id"]').forEach((field) => {
    if (field.value === id) field.value = freshId();
  });
});

// A form sent without htmx: what it follows is filled in as it goes.
document.addEventListener('submit', (event) => {
  const follows = event.target.querySelector?.('input[name="follows"]');
  if (follows) follows.value = last();
});
