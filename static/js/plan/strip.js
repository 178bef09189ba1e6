// The strip below the drawing: one row of what can be done now, and a panel above it for what belongs to a tool.

const LISTS = ['draw', 'more'];

export function stripOf(section, { laid = () => {} } = {}) {
  const all = (name) => [...section.querySelectorAll(`[data-${name}]`)];
  const field = (name) => section.querySelector(`[data-text="${name}"]`);
  let opened = ''; // a panel opened by its button
  let own = ''; // the panel of the tool in hand
  let opener = null;
  let lowered = false; // the panel of the tool in hand, so that more of the drawing is seen
  const lower = section.querySelector('[data-does="panel"]');

  function lay() {
    const shown = opened || (lowered ? '' : own);
    for (const one of all('panel')) one.hidden = one.dataset.panel !== shown;
    opener?.setAttribute('aria-expanded', String(Boolean(opened)));
    lower.hidden = !own;
    lower.setAttribute('aria-expanded', String(!lowered));
    laid();
  }

  const strip = {
    making: '', // what is being made, by the value of its button
    show(bar, panel, { name = '', key = '' } = {}) {
      for (const one of all('bar')) one.hidden = one.dataset.bar !== bar;
      for (const one of all('name')) one.textContent = name;
      for (const one of all('of')) one.hidden = !one.dataset.of.split(' ').includes(strip.making);
      for (const one of all('for')) one.hidden = !one.dataset.for.split(' ').includes(key.split(':')[0]);
      own = panel;
      if (opened === 'more' && !bar.startsWith('selected')) opened = '';
      if (!panel && bar === 'look') strip.making = '';
      lay();
    },
    open(name, button) {
      opener?.setAttribute('aria-expanded', 'false');
      opened = opened === name ? '' : name;
      opener = button;
      lay();
      if (opened) section.querySelector(`[data-panel="${name}"] :is(button, input)`)?.focus();
    },
    lower() {
      lowered = !lowered;
      lay();
    },
    /** A list that lies on the drawing goes when the drawing is touched. */
    dismiss() {
      if (LISTS.includes(opened)) strip.close();
    },
    close() {
      opened = '';
      lay();
    },
    begin(what) {
      strip.making = what;
      strip.close();
    },
    picked: (name) => section.querySelector(`[data-pick="${name}"]`).value,
    text: (name) => field(name).value.trim(),
    clear: (...names) => { for (const name of names) field(name).value = ''; },
    onEnter(work) {
      section.addEventListener('keydown', (event) => {
        if (event.key !== 'Enter' || !['length', 'direction'].includes(event.target.dataset?.text)) return;
        event.preventDefault();
        work();
      });
    },
    onPick(work) {
      for (const one of all('pick')) one.addEventListener('change', work);
    },
  };
  section.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || !opened) return;
    strip.close();
    opener?.focus();
    event.stopPropagation();
  });
  return strip;
}
