// A save leaves open what stood open: the groups of a long list, each told by its title, whatever its count is now.

const title = (group) => group.querySelector('summary')?.firstChild?.textContent.trim() ?? '';
const groups = () => [...document.querySelectorAll('#page-part details.many')];
let open = new Set();

document.addEventListener('htmx:beforeSwap', ({ detail }) => {
  if (detail.requestConfig?.verb !== 'get') open = new Set(groups().filter((one) => one.open).map(title));
});

document.addEventListener('htmx:afterSwap', () => {
  groups().filter((one) => open.has(title(one))).forEach((one) => { one.open = true; });
  open.clear();
});
