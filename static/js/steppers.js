// One more, one less, beside a count.

document.addEventListener('click', (event) => {
  const button = event.target.closest?.('.stepper button');
  if (!button) return;
  const field = button.parentElement.querySelector('input');
  if (button.dataset.step === 'up') field.stepUp();
  else field.stepDown();
  field.dispatchEvent(new Event('input', { bubbles: true }));
  field.dispatchEvent(new Event('change', { bubbles: true }));
});
