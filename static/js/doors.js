// A figure that was opened is marked, and its explanation brought into view when it lies below the fold.

document.addEventListener('htmx:afterSwap', ({ detail }) => {
  const door = detail.requestConfig?.elt;
  if (!door?.classList?.contains('door')) return;
  document.querySelectorAll('.door[aria-expanded="true"]').forEach((other) => other.setAttribute('aria-expanded', 'false'));
  door.setAttribute('aria-expanded', 'true');
  detail.target.scrollIntoView({ block: 'nearest' });
});

document.addEventListener('click', (event) => {
  if (!event.target.closest?.('[data-close-explanation]')) return;
  event.preventDefault();
  document.getElementById('explanation')?.replaceChildren();
  const door = document.querySelector('.door[aria-expanded="true"]');
  door?.setAttribute('aria-expanded', 'false');
  door?.focus();
});
