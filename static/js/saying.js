// When the program does not answer, one sentence says so; what was typed stays where it is, under the same change id.

const place = () => document.getElementById('said');

function say(key) {
  const words = document.getElementById(key)?.content.cloneNode(true);
  if (words && place()) place().replaceChildren(words);
}

document.addEventListener('htmx:sendError', () => say('not-answering'));
document.addEventListener('htmx:timeout', () => say('not-answering'));
document.addEventListener('htmx:afterRequest', ({ detail }) => {
  if (detail.successful) place()?.replaceChildren();
});
document.addEventListener('click', (event) => {
  if (event.target.closest?.('[data-close-said]')) place()?.replaceChildren();
});
