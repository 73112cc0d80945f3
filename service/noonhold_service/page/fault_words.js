// The service's faults in a reader's words.

export const faultWords = ({ detail, bound, hint }) =>
  `${detail}${bound ? ` (allowed: ${bound})` : ""}${hint ? ` – ${hint}` : ""}`;

export function faultsWords(count, inRig) {
  const [where, marked] = inRig ? [" in the rig", "line"] : ["", "field"];
  return count === 1
    ? `1 value${where} needs fixing; see the marked ${marked}.`
    : `${count} values${where} need fixing; see the marked ${marked}s.`;
}
