// A day that a page offers as today is today again when the page is looked at on a later day: a phone keeps pages open
// overnight, and shows those it took along without asking anybody.

const today = () => {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, '0')).join('-');
};

function turn() {
  for (const field of document.querySelectorAll('input[data-today]')) {
    if (field.value !== field.defaultValue || field.defaultValue >= today()) continue; // chosen by a person, or still right
    field.defaultValue = today();
    field.value = today();
  }
}

window.addEventListener('pageshow', turn);
document.addEventListener('visibilitychange', turn);
