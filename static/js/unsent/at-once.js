// What is never kept to be sent later: it counts only when it is answered while the person looks on, or it needs its
// answer to go on. Each with the sentence that is said when the program does not answer (templates/unsent/_words.html).

const AT_ONCE = [
  [/^\/show\//, 'at-once-client'],
  [/\/sign(\/|$)/, 'at-once-signature'],
  [/^\/jobs\/[^/]+\/proposal\/([a-z-]+\/)?(offer|revisions)(\/|$)/, 'at-once-offer'],
  [/\/(paid|received|invoice|receipts?\/pay)(\/|$)/, 'at-once-payment'],
  [/\/face(\/|$)/, 'at-once-face'],
  [/^\/firm\/(share|devices|erased)(\/|$)|^\/jobs\/[^/]+\/erase$/, 'at-once-machine'],
  [/^\/(pair|pairing|devices?|share|sharing|restore|backups?|commands)(\/|$)/, 'at-once-machine'],
  [/^\/prices\/list(\/|$)/, 'at-once-file'],
  [/^\/jobs\/[^/]+\/along(\/|$)/, 'at-once-answer'],
  [/\/(open-file|bring-in|best|early-range|trials|read|starting-works|begin-plan|language)(\/|$)/, 'at-once-answer'],
];

/** Whether a form asks for what nobody may read later. */
export const hasSecret = (form) => form?.querySelector('input[type="password"]') != null;

/** Why an address must be answered at once; null where what is sent to it may wait. `files`, `secret`: what it sends. */
export function atOnce(path, files = false, secret = false) {
  const { pathname } = new URL(path, window.location.href);
  const found = AT_ONCE.find(([pattern]) => pattern.test(pathname));
  if (found) return found[1];
  if (secret) return 'at-once-machine'; // a passcode or passphrase is never written to the device
  return files && !/\/(photo(\/new)?|receipt|delivery|after\/(tests\/)?result|after\/note|after\/punch(\/[^/]+)?)$/.test(pathname) ? 'at-once-file' : null;
}
