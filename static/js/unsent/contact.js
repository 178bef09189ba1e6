// Asks the program whether it is there, with the token this device must send now, and what became of changes that had no
// answer. A page that was opened long ago, or shown from what was kept, knows neither.

const PATIENCE = 6000; // ms

/** `{ token, epoch, saved: [ids] }`, or null where the program is not reached or this device may not write now. */
export async function contact(ids = []) {
  if (navigator.onLine === false && !isThisMachine()) return null;
  const asked = ids.length ? `?saved=${ids.join(',')}` : '';
  try {
    const answer = await fetch(`/contact${asked}`, { redirect: 'manual', cache: 'no-store', signal: AbortSignal.timeout(PATIENCE) });
    if (answer.status !== 200) return null;
    const told = await answer.json();
    return typeof told.token === 'string' ? told : null;
  } catch {
    return null;
  }
}

/** Whether the program answers at all, whatever it says. */
export async function reached() {
  try {
    await fetch('/contact', { redirect: 'manual', cache: 'no-store', signal: AbortSignal.timeout(PATIENCE) });
    return true;
  } catch {
    return false;
  }
}

/** The program runs here: no network is needed to reach it. */
const isThisMachine = () => ['127.0.0.1', 'localhost', '[::1]'].includes(window.location.hostname);
