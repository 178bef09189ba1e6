// Asks the program whether it is there, with the token this device must send now, and what became of changes that had no
// answer. A page that was opened long ago, or shown from what was kept, knows neither.

const PATIENCE = 6000; // ms

/** `{ token, epoch, saved: [ids], at }` (`at`: when the job was last changed), or null where the program is not reached or this device may not write now. */
export async function contact(ids = [], job = '') {
  if (navigator.onLine === false && !isThisMachine()) return null;
  const asked = `?saved=${ids.join(',')}&job=${job}`;
  try {
    const answer = await fetch(`/contact${asked}`, { redirect: 'manual', cache: 'no-store', signal: AbortSignal.timeout(PATIENCE) });
    if (answer.status === 401 || answer.status === 403) document.dispatchEvent(new CustomEvent('outlay:shut-out'));
    if (answer.status !== 200) return null;
    const told = await answer.json();
    if (typeof told.token !== 'string' || told.face === 'client') return null;
    takeUp(told);
    return told;
  } catch {
    return null;
  }
}

/** The page sends the token of now; one of an earlier epoch keeps its own, and is refused. */
function takeUp({ token, epoch }) {
  if (document.querySelector('meta[name="epoch"]')?.content === epoch) document.querySelector('meta[name="token"]')?.setAttribute('content', token);
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
