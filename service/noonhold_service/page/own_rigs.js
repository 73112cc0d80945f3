// Rigs of one's own, kept in this browser: documents as text, by a number that never comes again.

import { keep, kept } from "./kept.js";

const NAME = "rigs";

export const ownRigs = () => kept(NAME, []);

const nameIn = (text) => {
  try {
    return String(JSON.parse(text)?.name ?? "") || "without a name";
  } catch {
    return "not readable yet";
  }
};

export const listed = () => ownRigs().map(({ id, text }) => ({ id, text, name: nameIn(text) }));

// Returns its number.
export function addRig(text) {
  const all = ownRigs();
  const id = all.reduce((most, each) => Math.max(most, each.id), 0) + 1;
  keep(NAME, [...all, { id, text }]);
  return id;
}

export function saveRig(id, text) {
  keep(NAME, ownRigs().map((each) => (each.id === id ? { id, text } : each)));
}

export function forgetRig(id) {
  keep(NAME, ownRigs().filter((each) => each.id !== id));
}
