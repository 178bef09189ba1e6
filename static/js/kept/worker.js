// The worker that keeps pages: there where the page is secure, and asked by message.

const READY = 8000; // ms

export const canKeep = () => window.isSecureContext && 'serviceWorker' in navigator;
const isClient = () => document.body.classList.contains('client');

/** Ask the worker; null where there is none. */
export async function ask(message) {
  if (!canKeep()) return null;
  const late = new Promise((resolve) => { setTimeout(() => resolve(null), READY); });
  const ready = await Promise.race([navigator.serviceWorker.ready, late]);
  if (!ready?.active) return null;
  const { port1, port2 } = new MessageChannel();
  const answer = new Promise((resolve) => { port1.onmessage = ({ data }) => resolve(data); });
  ready.active.postMessage(message, [port2]);
  return answer;
}

/** What this page was made with, to be kept with it. */
export const ownFiles = () => performance.getEntriesByType('resource').map((one) => one.name)
  .filter((name) => name.startsWith(`${window.location.origin}/built/`)).map((name) => new URL(name).pathname);

if (canKeep() && !isClient()) {
  navigator.serviceWorker.register('/worker.js').catch(() => {}); // without it nothing is kept, and all else works
  if (!navigator.serviceWorker.controller) {
    window.addEventListener('load', () => { void ask({ does: 'seen', paths: [...ownFiles(), window.location.pathname + window.location.search, '/unsent'] }); });
  }
}
