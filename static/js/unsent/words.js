// A change that is not sent, in words.

const words = () => document.getElementById('unsent-words')?.dataset ?? {};
const language = () => document.documentElement.lang || 'en';

/** When it was typed, as a person says it. */
export const momentOf = (at) => new Date(at).toLocaleString(language(), { weekday: 'short', hour: 'numeric', minute: '2-digit', day: 'numeric', month: 'short' });

/** Why it was not taken. */
export function refusalOf({ refused: { why, sentences } }) {
  const known = { epoch: words().whyEpoch, unclear: words().whyUnclear, 404: words().whyGone }[why];
  return [known, ...sentences].filter(Boolean).join(' ') || words().whyOther;
}

/** All of it as plain text, to keep or to type in again elsewhere. */
export function asText(changes) {
  const parts = changes.map((change) => [
    `${momentOf(change.at)}  ${change.what || change.path}`,
    `  ${change.where}`,
    ...change.fields.map(([label, value]) => `  ${label}: ${value}`),
    ...(change.state === 'asks' ? [`  ${refusalOf(change)}`] : []),
    ...(change.refused?.values ?? []).map(([field, theirs, yours]) => `  ${field}: ${theirs} / ${yours}`),
  ].join('\n'));
  return `${words().title ?? ''}\n\n${parts.join('\n\n')}\n`;
}
