// Who builds and for whom: on the sheet, and kept in this browser only.

import { by } from "./dom.js";
import { keep, kept } from "./kept.js";

const FIELDS = ["name", "contact", "customer"];
const LARGEST = 400_000; // bytes of a logo, so that the browser keeps it

export class Builder {
  constructor(onChange) {
    this.said = { name: "", contact: "", customer: "", logo: "", ...kept("builder", {}) };
    for (const name of FIELDS) {
      const field = by(`builder-${name}`);
      field.value = this.said[name];
      field.addEventListener("input", () => this.set({ [name]: field.value.trim() }, onChange));
    }
    by("builder-logo").addEventListener("change", async ({ target }) => {
      const [file] = target.files;
      if (file) this.take(file, onChange);
    });
    by("builder-no-logo").addEventListener("click", () => this.set({ logo: "" }, onChange));
    this.show();
  }

  take(file, onChange) {
    if (file.size > LARGEST) {
      by("builder-says").textContent = "This picture is too large: up to 400 kB can be kept.";
      return;
    }
    const reader = new FileReader();
    reader.addEventListener("load", () => this.set({ logo: String(reader.result) }, onChange));
    reader.readAsDataURL(file);
  }

  set(change, onChange) {
    Object.assign(this.said, change);
    const lasting = keep("builder", this.said);
    by("builder-says").textContent = lasting ? "" : "This browser does not keep it: it is gone after a reload.";
    this.show();
    onChange();
  }

  show() {
    by("builder-no-logo").hidden = !this.said.logo;
  }
}
