// What is never kept to be sent later: it counts only when it is answered while the person looks on, or it needs its
// answer to go on. Each with the sentence that is said when the program does not answer (templates/unsent/_words.html).

const AT_ONCE = [
  [/^\/show\//, 'at-once-client'],
  [/\/sign(\/|$)/, 'at-once-signature'],
  [/^\/jobs\/[^/]+\/proposal\/(design\/)?(offer|revisions)/, 'at-once-offer'],
  [/\/(paid|received|invoice|receipts?\/pay)(\/|$)/, 'at-once-payment'],
  [/\/face(\/|$)/, 'at-once-face'],
  [/^\/firm\/(share|devices)(\/|$)/, 'at-once-machine'],
  [/^\/(pair|pairing|devices?|share|sharing|restore|backups?|commands)(\/|$)/, 'at-once-machine'],
  [/^\/prices\/list(\/|$)/, 'at-once-file'],
  [/\/(open-file|bring-in|best|early-range|trials|read|starting-works|begin-plan)(\/|$)/, 'at-once-answer'],
];

/** Why an address must be answered at once; null where what is sent to it may wait. `files`: it sends a file. */
export function atOnce(path, files = false) {
  const { pathname } = new URL(path, window.location.href);
  const found = AT_ONCE.find(([pattern]) => pattern.test(pathname));
  if (found) return found[1];
  return files && !/\/photo(\/new)?$/.test(pathname) ? 'at-once-file' : null;
}
