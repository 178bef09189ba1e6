// Changes that are kept on this device until they are answered, in the order in which they were made (IndexedDB, which
// is there over plain HTTP too). Each: { order, id, follows, path, pairs, epoch, at, state, … }; files are kept whole.

const CHANGES = 'changes';
const MARKS = 'marks'; // a few values by name: who is sending, what was forgotten
let opening = null;

function database() {
  opening ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open('outlay', 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(CHANGES, { keyPath: 'order', autoIncrement: true }).createIndex('id', 'id', { unique: true });
      asked.result.createObjectStore(MARKS);
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error('an older page holds the store'));
  });
  opening.catch(() => { opening = null; });
  return opening;
}

/** One transaction: `work(store)` gives requests; resolved with the result of the last once all is on the disk. */
async function within(name, mode, work, durability = 'relaxed') {
  const opened = await database();
  return new Promise((resolve, reject) => {
    const transaction = opened.transaction(name, mode, { durability });
    let last = null;
    transaction.oncomplete = () => resolve(last?.result);
    transaction.onabort = () => reject(transaction.error);
    last = work(transaction.objectStore(name)) ?? null;
  });
}

const channel = 'BroadcastChannel' in window ? new BroadcastChannel('outlay-unsent') : null;
const tell = () => document.dispatchEvent(new CustomEvent('outlay:unsent'));
channel?.addEventListener('message', tell);

function changed(result) {
  tell();
  channel?.postMessage('');
  return result;
}

/** Keep a change; it is on the disk when this resolves with its order. One of the same id keeps its place. */
export async function keep(change) {
  const known = await within(CHANGES, 'readonly', (store) => store.index('id').get(change.id));
  if (known) return known.order;
  return changed(await within(CHANGES, 'readwrite', (store) => store.add(change), 'strict'));
}

/** All that is kept, the oldest first. */
export const all = () => within(CHANGES, 'readonly', (store) => store.getAll());
export const get = (order) => within(CHANGES, 'readonly', (store) => store.get(order));

/** Set fields of a kept change; nothing where it is gone. */
export async function alter(order, fields) {
  return changed(await within(CHANGES, 'readwrite', (store) => {
    const asked = store.get(order);
    asked.onsuccess = () => { if (asked.result) store.put({ ...asked.result, ...fields }); };
    return asked;
  }));
}

/** Let go of a change that was answered. */
export async function drop(order) {
  return changed(await within(CHANGES, 'readwrite', (store) => store.delete(order)));
}

/** A change that never went in: what was made after it now follows what it followed itself. */
export async function stepOver({ id, follows }) {
  await within(CHANGES, 'readwrite', (store) => {
    const walk = store.openCursor();
    walk.onsuccess = () => {
      const at = walk.result;
      if (!at) return;
      if (at.value.follows === id) at.update({ ...at.value, follows });
      at.continue();
    };
    return walk;
  });
}

/** Read a mark and set it anew in one step: `next(value)` gives the new value, or undefined to leave it. */
export async function mark(name, next = () => undefined) {
  let before;
  await within(MARKS, 'readwrite', (store) => {
    const asked = store.get(name);
    asked.onsuccess = () => {
      before = asked.result;
      const value = next(before);
      if (value === null) store.delete(name);
      else if (value !== undefined) store.put(value, name);
    };
    return asked;
  });
  return before;
}
