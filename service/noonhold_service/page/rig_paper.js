// A rig's document as text, its faults at the lines where they were written.

import { by, make } from "./dom.js";
import { JsonSlip, lineOf, nearestPlace, placesInJson } from "./places_in_json.js";

const LINE_PX = 17;

export class RigPaper {
  constructor(onChange) {
    this.area = by("rig-text");
    this.margin = by("rig-margin");
    this.says = by("rig-says");
    this.hits = new Set();
    this.area.addEventListener("input", () => {
      this.tell([]);
      onChange(this.area.value);
    });
    this.area.addEventListener("scroll", () => {
      this.margin.scrollTop = this.area.scrollTop;
    });
    by("rig-file").addEventListener("change", async (event) => {
      const [file] = event.target.files;
      if (!file) return;
      this.write(await file.text());
      onChange(this.area.value);
    });
  }

  write(text) {
    if (this.area.value !== text) this.area.value = text;
    this.tell([]);
  }

  // The document, or null where the text is none yet; then it says where it stops being JSON.
  read() {
    const text = this.area.value;
    if (!text.trim()) {
      this.tell([{ start: 0, end: 0, pointer: "", detail: "Paste a rig's document here." }]);
      return null;
    }
    try {
      this.places = placesInJson(text);
      return JSON.parse(text);
    } catch (error) {
      if (!(error instanceof JsonSlip)) throw error;
      const detail = `This is not JSON yet: ${error.message}.`;
      this.tell([{ start: error.offset, end: error.offset + 1, pointer: "", detail }]);
      return null;
    }
  }

  // Faults of the service, pointers as they stand in this document.
  showFaults(faults) {
    const found = faults.map((fault) => {
      const { start, end, missing } = nearestPlace(this.places, fault.pointer);
      return { ...fault, start, end: missing ? start + 1 : end };
    });
    this.tell(found.sort((a, b) => a.start - b.start));
  }

  tell(faults) {
    const text = this.area.value;
    this.hits = new Set(faults.map((each) => lineOf(text, each.start)));
    const lines = text.split("\n").length;
    this.margin.replaceChildren(
      ...Array.from({ length: lines }, (_, index) => {
        const number = index + 1;
        return this.hits.has(number)
          ? make("span", { class: "hit" }, `✗${number}\n`)
          : document.createTextNode(`${number}\n`);
      }),
    );
    this.margin.scrollTop = this.area.scrollTop;
    if (faults.length) this.area.setAttribute("aria-invalid", "true");
    else this.area.removeAttribute("aria-invalid");
    this.says.replaceChildren(
      ...(faults.length ? [make("ol", {}, ...faults.map((each) => this.item(each)))] : []),
    );
  }

  item(fault) {
    const line = lineOf(this.area.value, fault.start);
    const bound = fault.bound ? ` (allowed: ${fault.bound})` : "";
    const hint = fault.hint ? ` – ${fault.hint}` : "";
    return make(
      "li",
      {},
      make(
        "button",
        { type: "button", class: "plain", onclick: () => this.goTo(fault) },
        `Line ${line}: `,
        ...(fault.pointer ? [make("code", {}, fault.pointer), " "] : []),
        `${fault.detail}${bound}${hint}`,
      ),
    );
  }

  goTo(fault) {
    this.area.focus();
    this.area.setSelectionRange(fault.start, fault.end);
    this.area.scrollTop = Math.max(0, (lineOf(this.area.value, fault.start) - 4) * LINE_PX);
    this.area.scrollLeft = 0;
  }
}
