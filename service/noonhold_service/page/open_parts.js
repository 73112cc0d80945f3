// Parts that fold: which of them are open is kept.

import { keep, kept } from "./kept.js";

export function keepOpen(parts) {
  const open = new Set(kept("open", []));
  for (const part of parts) {
    part.open = open.has(part.id);
    part.addEventListener("toggle", () => {
      if (part.open) open.add(part.id);
      else open.delete(part.id);
      keep("open", [...open]);
    });
  }
}
