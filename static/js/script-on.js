// Controls that do nothing without script ([data-needs-script]) are shown only where script runs.
document.documentElement.dataset.script = 'on';

// The current sheet is in view in an index that scrolls sideways.
const current = document.querySelector('.index [aria-current]');
if (current) {
  const list = current.closest('.index');
  list.scrollLeft = current.offsetLeft - list.offsetLeft - (list.clientWidth - current.offsetWidth) / 2;
}
