// The dialog that asks for a key where the service wants one.

import { keepKey } from "./asking.js";
import { by } from "./dom.js";

export function askKey() {
  const dialog = by("key-dialog");
  if (!dialog.open) dialog.showModal();
}

export function onKey(begin) {
  by("key-dialog").addEventListener("close", () => {
    const key = by("key").value.trim();
    by("key").value = "";
    if (by("key-dialog").returnValue !== "use" || !key) return;
    keepKey(key);
    by("key-says").textContent = "The key was not taken. Perhaps a letter is missing.";
    begin();
  });
}
