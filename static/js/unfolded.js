// Lines of a large estimate are fetched when their group is unfolded. What stands open is said with every request, so
// that an answer brings just those lines back, and the groups stay as they were.

const MOST = 8000; // characters

document.addEventListener('htmx:configRequest', ({ detail }) => {
  const open = [...document.querySelectorAll('details[data-lines][open]')].map((one) => encodeURIComponent(one.dataset.lines));
  if (open.length) detail.headers['X-Outlay-Lines'] = open.join(',').slice(0, MOST);
});
