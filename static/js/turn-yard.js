// A swipe across the drawing of the yard turns it: it follows the link that turns the same way.

const LEAST = 48; // px across; less is a tap, and more upward than across is scrolling
let begun = null;

document.addEventListener('pointerdown', (event) => {
  const figure = event.target.closest?.('[data-turns]');
  begun = figure ? { x: event.clientX, y: event.clientY, id: event.pointerId } : null;
});

document.addEventListener('pointerup', (event) => {
  if (!begun || begun.id !== event.pointerId) return;
  const across = event.clientX - begun.x;
  const up = event.clientY - begun.y;
  begun = null;
  if (Math.abs(across) < LEAST || Math.abs(up) > Math.abs(across) / 2) return;
  document.querySelector(`[data-turn="${across > 0 ? 'right' : 'left'}"]`)?.click();
});
