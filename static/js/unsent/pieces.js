// A large file goes before its form, in pieces: where the line was cut, it goes on where it ended. The form then names
// the file by the hash of its content (SHA-256). Where that cannot be, the file goes with its form, as a small one does.

const LARGE = 512 * 1024; // bytes; what is smaller goes at once
const PATIENCE = 60000; // ms, a piece

const isLarge = ([, value]) => value instanceof Blob && value.size > LARGE;

/** Whether files of a change want to go in pieces. Over plain HTTP nothing can be hashed: there they go at once. */
export const inPieces = (pairs) => pairs.some(isLarge) && globalThis.crypto?.subtle !== undefined;

/**
 * The pairs with each large file named in its place; null where the line was cut: what has come is kept a day.
 * What the program refuses is left as it is: it is refused again with the form, where that is said.
 */
export async function sendPieces(pairs, token) {
  const named = [];
  for (const pair of pairs) {
    const name = isLarge(pair) ? await sendFile(pair[1], token) : '';
    if (name === null) return null;
    named.push(name ? [`${pair[0]}_in_pieces`, name] : pair);
  }
  return named;
}

/** The name of a file that has come whole; '' where it is refused, null where the line was cut. */
async function sendFile(file, token) {
  const name = hex(await crypto.subtle.digest('SHA-256', await file.arrayBuffer()));
  let told = await ask(`/pieces/${name}`, {});
  while (told?.there < file.size) {
    const before = told.there;
    told = await ask(`/pieces/${name}`, { method: 'POST', body: pieceOf(file, told), headers: { 'X-Outlay-Token': token } });
    if (told?.there === before) return '';
  }
  return told && (told.there === file.size ? name : '');
}

function pieceOf(file, { there, piece }) {
  const body = new FormData();
  body.append('at', String(there));
  body.append('size', String(file.size));
  body.append('file', file.slice(there, there + piece), 'piece');
  return body;
}

/** What the program answers: `{ there, piece }`, `{}` where it refuses, null where it is not reached. */
async function ask(path, request) {
  try {
    const answer = await fetch(path, { ...request, redirect: 'manual', cache: 'no-store', signal: AbortSignal.timeout(PATIENCE) });
    if (answer.ok) return await answer.json();
    return answer.status === 503 ? null : {};
  } catch {
    return null;
  }
}

const hex = (digest) => [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
