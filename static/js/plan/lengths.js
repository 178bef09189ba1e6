// A length while something is being dragged, written as the server writes it (app/domain/units/shown.py).

const FOOT_IN_METERS = 0.3048;
const EIGHTHS = ['', '1/8', '1/4', '3/8', '1/2', '5/8', '3/4', '7/8'];

export function lengthWords(feet, system) {
  if (system === 'metric') return `${meters(feet * FOOT_IN_METERS)} m`;
  const total = Math.floor(Math.abs(feet) * 96 + 0.5);
  const sign = feet < 0 && total ? '-' : '';
  const whole = Math.floor(total / 96);
  const inches = Math.floor((total % 96) / 8);
  const part = EIGHTHS[total % 8];
  const rest = part ? (inches || total >= 96 ? `${inches} ${part}` : part) : `${inches}`;
  return whole ? `${sign}${whole}'-${rest}"` : `${sign}${rest}"`;
}

function meters(value) {
  const text = (Math.sign(value) * Math.floor(Math.abs(value) * 1000 + 0.5) / 1000).toFixed(3);
  return text.endsWith('0') ? text.slice(0, -1) : text;
}
