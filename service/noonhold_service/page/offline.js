// Answers from an earlier time: the worker marks them, and the page says so beside the verdict.

import { by } from "./dom.js";

export const KEPT = "X-Kept";

let oldest = null;

// Told of every answer; `at` is null where the service itself answered.
export function tellAge(path, at) {
  if (!path.startsWith("/v1/projections")) return;
  oldest = at;
  by("old").hidden = !oldest;
  if (!oldest) return;
  const when = new Date(oldest);
  const said = Number.isNaN(when.getTime()) ? "an earlier time" : new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "short" }).format(when);
  by("old").textContent = `Old answer, of ${said}: the service cannot be reached.`;
}

// Only where the browser has workers: over https, or on this computer.
export function workOffline() {
  navigator.serviceWorker?.register("/page/worker.js", { scope: "/" }).catch(() => undefined);
}
