// Stands between the browser and the network where the page is secure (HTTPS, or this machine): keeps the sheets that
// were seen last, and what was taken along to the yard, and shows them with their time while the program does not
// answer. It keeps pages only; what is typed is kept by the pages themselves (../unsent).

const BUILT = 'outlay-built';
const SEEN = 'outlay-seen';
const TAKEN = 'outlay-taken';
const HOUR = 3600 * 1000; // ms
const GOOD_FOR = { [TAKEN]: 14 * HOUR, [SEEN]: 7 * 24 * HOUR };
const MOST = 80; // pages seen last
const PATIENCE = 6000; // ms, where a kept page could be shown instead
const KEPT_AT = 'x-outlay-kept-at';
const UNSENT = '/unsent';

/** What is ours to keep: sheets of jobs, the list of them, the yard. Never the client's face, nor the firm's own book. */
const isKept = ({ pathname }) => pathname === '/' || pathname === UNSENT || /^\/(jobs|field)(\/|$)/.test(pathname);
const isPage = (answer) => answer.ok && !answer.redirected && (answer.headers.get('content-type') ?? '').startsWith('text/html');

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith('/built/')) event.respondWith(built(request));
  else if (request.mode === 'navigate') event.respondWith(page(event, request, url));
  else if (request.destination === 'image') event.respondWith(picture(request));
});

/** Styles, scripts and fonts bear their version: what is kept is what they are. */
async function built(request) {
  const kept = await (await caches.open(BUILT)).match(request);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok) await (await caches.open(BUILT)).put(request, answer.clone());
  return answer;
}

async function page(event, request, url) {
  const asked = fetch(request).then(async (answer) => {
    if (answer.status === 401 || answer.status === 403 || url.pathname.startsWith('/show')) await forget();
    else if (isPage(answer) && isKept(url)) event.waitUntil(keep(SEEN, request.url, answer.clone()));
    return answer;
  });
  event.waitUntil(letGo());
  const kept = await keptPage(url);
  if (!kept) return asked.catch(() => notKept());
  event.waitUntil(asked.catch(() => {}));
  const late = new Promise((resolve) => { setTimeout(() => resolve(kept), PATIENCE); });
  return Promise.race([asked.catch(() => kept), late]);
}

async function picture(request) {
  try {
    return await fetch(request);
  } catch {
    return (await (await caches.open(TAKEN)).match(request)) ?? Response.error();
  }
}

async function keep(name, address, answer) {
  const headers = new Headers(answer.headers);
  headers.set(KEPT_AT, new Date().toISOString());
  headers.delete('set-cookie');
  const cache = await caches.open(name);
  await cache.put(address, new Response(await answer.blob(), { headers }));
  if (name !== SEEN) return;
  const known = await cache.keys();
  await Promise.all(known.slice(0, Math.max(0, known.length - MOST)).map((one) => cache.delete(one)));
}

/** The page as it was kept, with its time; what is past its time is let go of. */
async function keptPage(url) {
  for (const name of [TAKEN, SEEN]) {
    const cache = await caches.open(name);
    const found = (await cache.match(url.href)) ?? (await cache.match(url.origin + url.pathname));
    if (!found) continue;
    const at = found.headers.get(KEPT_AT);
    if (Date.now() - Date.parse(at) < GOOD_FOR[name]) return dated(found, 'as-of', at);
    await cache.delete(found.url || url.href);
  }
  return null;
}

/** Whatever is past its time goes, also where the program was never reached again: who is shut out need not come by. */
async function letGo() {
  for (const name of [TAKEN, SEEN]) {
    const cache = await caches.open(name);
    for (const one of await cache.keys()) {
      const at = (await cache.match(one))?.headers.get(KEPT_AT);
      if (!(Date.now() - Date.parse(at) < GOOD_FOR[name])) await cache.delete(one);
    }
  }
}

async function dated(found, name, value) {
  const text = await found.text();
  return new Response(text.replace('<html', `<html data-${name}="${value}"`), { headers: found.headers });
}

async function notKept() {
  const unsent = await (await caches.open(SEEN)).match(self.location.origin + UNSENT);
  if (unsent) return dated(unsent, 'not-kept', 'yes');
  return new Response('Outlay does not answer, and this page is not kept on this device.', { status: 503, headers: { 'content-type': 'text/plain; charset=utf-8' } });
}

/** Everything of ours is dropped: the device shows the client's face, or is not let in any more. */
const forget = () => Promise.all([SEEN, TAKEN].map((name) => caches.delete(name)));

/** Fetch what is named and keep it; how many of them are kept now. */
async function take(name, paths, afresh) {
  if (afresh) await caches.delete(name);
  let kept = 0;
  for (const path of paths) {
    const url = new URL(path, self.location.origin);
    if (url.origin !== self.location.origin) continue;
    const answer = await fetch(url.href, { cache: 'no-store' }).catch(() => null);
    if (!answer?.ok || answer.redirected) continue;
    if (url.pathname.startsWith('/built/')) await (await caches.open(BUILT)).put(url.href, answer);
    else await keep(name, url.href, answer);
    kept += 1;
  }
  return kept;
}

self.addEventListener('message', (event) => {
  const { does, paths = [] } = event.data ?? {};
  const work = { forget, seen: () => take(SEEN, paths), take: () => take(TAKEN, paths, true) }[does];
  if (work) event.waitUntil(work().then((result) => event.ports[0]?.postMessage(result), () => event.ports[0]?.postMessage(null)));
});
