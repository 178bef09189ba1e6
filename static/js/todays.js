// A day that a page offers as today is today again when the page is looked at on a later day: a phone keeps pages open
// overnight, and shows those it took along without asking anybody. Today is the day in the yard: `data-today` names its zone.

function todayIn(zone) {
  const parts = new Intl.DateTimeFormat('en-US', { timeZone: zone, year: 'numeric', month: '2-digit', day: '2-digit' }).formatToParts(new Date());
  const { year, month, day } = Object.fromEntries(parts.map(({ type, value }) => [type, value]));
  return `${year}-${month}-${day}`;
}

function turn() {
  for (const field of document.querySelectorAll('input[data-today]')) {
    const today = todayIn(field.dataset.today);
    if (field.value !== field.defaultValue || field.defaultValue >= today) continue; // chosen by a person, or still right
    field.defaultValue = today;
    field.value = today;
  }
}

window.addEventListener('pageshow', turn);
document.addEventListener('visibilitychange', turn);
