// A signed copy handed on by the device itself: its share sheet with the very file, or its printer. Without either the
// buttons stay hidden, and the copy is opened or kept like any file.

const FRAME = 'copy-to-print';

async function fileOf(button) {
  const answer = await fetch(button.dataset.shareFile, { credentials: 'same-origin' });
  if (!answer.ok) throw new Error(`${answer.status}`);
  return new File([await answer.blob()], button.dataset.fileName, { type: 'application/pdf' });
}

function said(button, words) {
  const place = button.closest('section')?.querySelector('[data-said-copy]');
  if (place) place.textContent = words ? place.dataset.failed : '';
}

/** Whether this browser shares files at all; asked with an empty PDF, so that nothing is fetched before it is wanted. */
const sharesFiles = () =>
  navigator.canShare?.({ files: [new File([], 'copy.pdf', { type: 'application/pdf' })] }) === true;

async function share(button) {
  said(button, false);
  try {
    await navigator.share({ files: [await fileOf(button)], title: button.dataset.fileName });
  } catch (wrong) {
    if (wrong.name !== 'AbortError') said(button, true); // closing the sheet is no fault
  }
}

function print(button) {
  said(button, false);
  const opened = window.open(button.dataset.printFile, FRAME);
  if (!opened) {
    said(button, true);
    return;
  }
  opened.addEventListener('load', () => opened.print(), { once: true });
}

function offered() {
  if (sharesFiles()) for (const one of document.querySelectorAll('[data-share-file]')) one.hidden = false;
  for (const one of document.querySelectorAll('[data-print-file]')) one.hidden = false;
}

document.addEventListener('click', (event) => {
  const button = event.target.closest?.('[data-share-file], [data-print-file]');
  if (!button) return;
  if (button.dataset.shareFile) share(button);
  else print(button);
});

offered();
document.addEventListener('htmx:load', offered); // and in what comes in later
