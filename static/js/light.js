// High contrast for outdoors, kept on this device; the server reads the cookie, so no page flashes.

document.addEventListener('click', (event) => {
  const button = event.target.closest?.('[data-light-switch]');
  if (!button) return;
  const sun = document.documentElement.dataset.light !== 'sun';
  document.documentElement.dataset.light = sun ? 'sun' : 'paper';
  document.cookie = `outlay_light=${sun ? 'sun' : 'paper'}; path=/; max-age=31536000; samesite=strict`;
  document.querySelectorAll('[data-light-switch]').forEach((one) => one.setAttribute('aria-pressed', String(sun)));
});
