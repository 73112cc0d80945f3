// The link that others can open: loopback reaches this computer only.

import { by } from "./dom.js";
import { keep, kept } from "./kept.js";

const LOOPBACK = /^(localhost|127\.|\[::1\]|0\.0\.0\.0)/;

export class Outside {
  constructor() {
    const alone = LOOPBACK.test(location.hostname);
    by("outside-part").hidden = !alone;
    by("outside-help").hidden = !alone;
    by("outside").value = alone ? kept("outside", "") : "";
    by("outside").addEventListener("change", (event) => keep("outside", event.target.value.trim()));
  }

  // At /page/, which is the page for whoever asks: / answers programs in JSON.
  link() {
    let base = location.origin;
    try {
      base = new URL(by("outside").value.trim() || base).href.replace(/\/(page\/?)?$/, "");
    } catch {
      // Not an address yet: the page's own then.
    }
    return `${base}/page/${location.hash}`;
  }

  said() {
    return by("outside-part").hidden || by("outside").value.trim()
      ? "The link is copied; it holds the whole question."
      : "The link is copied; it opens on this computer only. Enter the address for others below.";
  }
}
