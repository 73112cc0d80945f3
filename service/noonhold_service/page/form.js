// The question's fields: the scenario in, what a person says out, faults at the field.

import { by, make } from "./dom.js";
import { forField, fromReader, unitOf } from "./units.js";

export class QuestionForm {
  constructor(form, scenario, onChange) {
    this.form = form;
    this.scenario = scenario;
    this.onChange = onChange;
    for (const field of this.fields()) {
      if (field.type === "radio") continue;
      const place = make("p", { class: "fault", id: `fault-${field.name}`, hidden: "" });
      (field.closest(".line") ?? field.parentElement).append(place);
    }
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("input", (event) => this.heard(event.target));
  }

  fields() {
    return [...this.form.elements].filter((each) => each.name);
  }

  field(name) {
    const found = this.form.elements[name];
    return found instanceof RadioNodeList ? null : found;
  }

  heard(field) {
    const name = field.name;
    if (!name) return;
    const value = this.read(field);
    if (value === undefined) {
      this.say(name, field.type === "time" ? "needs a time" : field.type === "date" ? "needs a date" : "needs a number");
      return;
    }
    this.say(name, "");
    this.scenario[name] = value;
    this.showParts();
    this.onChange(name);
  }

  read(field) {
    const { value, dataset, type } = field;
    if (type === "number" || "number" in dataset) {
      if (value.trim() === "" || !Number.isFinite(Number(value))) return undefined;
      return dataset.kind ? fromReader(dataset.kind, Number(value)) : Number(value);
    }
    if (type === "time" || type === "date") return value === "" ? undefined : value;
    return value.trim();
  }

  // Writes the scenario into the fields, except into one that is being typed in.
  show() {
    for (const field of this.fields()) {
      const value = this.scenario[field.name];
      if (value === undefined) continue;
      if (field.type === "radio") field.checked = field.value === value;
      else if (field === document.activeElement && field.type === "number") continue;
      else if (field.type === "number") field.value = forField(field.dataset.kind, value);
      else field.value = String(value);
    }
    this.showParts();
  }

  showUnits() {
    for (const each of this.form.querySelectorAll("[data-unit]")) {
      each.textContent = unitOf(each.dataset.unit);
    }
    this.show();
  }

  showParts() {
    for (const part of this.form.querySelectorAll("[data-show]")) {
      const [, name, not, value] = /^(\w+)(!?)=([\w|]+)$/.exec(part.dataset.show);
      part.hidden = value.split("|").includes(this.scenario[name]) === (not === "!");
    }
  }

  say(name, text) {
    const place = by(`fault-${name}`);
    const field = this.field(name);
    if (!place || !field) return;
    place.textContent = text;
    place.hidden = !text;
    if (text) {
      field.setAttribute("aria-invalid", "true");
      field.setAttribute("aria-describedby", place.id);
    } else {
      field.removeAttribute("aria-invalid");
      if (field.getAttribute("aria-describedby") === place.id) field.removeAttribute("aria-describedby");
    }
  }

  clearFaults() {
    for (const field of this.fields()) this.say(field.name, "");
  }
}
