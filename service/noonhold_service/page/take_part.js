// The buttons that take an answer along.

import { by } from "./dom.js";
import { Outside } from "./outside.js";
import { copyText, takeFile } from "./take.js";

// `current` gives the answer that stands, `lay` lays out the sheet.
export function wireTakes(current, lay) {
  const outside = new Outside();
  by("take-link").addEventListener("click", () => copyText(outside.link(), outside.said()));
  by("take-curl").addEventListener("click", () => copyText(by("curl").textContent, "The curl line is copied."));
  by("take-print").addEventListener("click", async () => {
    await lay();
    print();
  });
  for (const kind of ["csv", "png", "json"]) {
    by(`take-${kind}`).addEventListener("click", async () => {
      by("take-says").textContent = "";
      try {
        await takeFile(kind, current().request, current().answer, "noonhold");
      } catch (error) {
        by("take-says").textContent = error.message;
      }
    });
  }
}
