// One's own rig by its fields, beside its drawing: every field writes into the document and nothing
// else of it is touched, so form and document are two views of the same text.

import { get, post, Trouble } from "./asking.js";
import { drawCabin } from "./cabin_drawing.js";
import { cabinModel } from "./cabin_model.js";
import { by, make } from "./dom.js";
import { faultWords } from "./fault_words.js";
import { addRig, forgetRig, listed, saveRig } from "./own_rigs.js";
import { pointerOf, valueAt, withValue } from "./paths.js";
import { fieldsOf, isShort } from "./rig_fields.js";
import { saveText } from "./take.js";
import { figure, forField, fromReader, unitOf } from "./units.js";

const plain = (name) => name.replaceAll("_", " ");

export class RigBench {
  // `write` puts a text into the document and asks; `onList` is called when the kept rigs change.
  constructor(write, onList) {
    Object.assign(this, { write, onList, rig: null, id: null, schemas: null, shorts: new Map() });
    by("rig-keep").addEventListener("click", () => this.keepIt());
    by("rig-duplicate").addEventListener("click", () => this.duplicate());
    by("rig-forget").addEventListener("click", () => this.forget());
    by("rig-export").addEventListener("click", () => saveText(`${this.rig?.name || "rig"}.json`, this.text));
    by("rig-whole").addEventListener("click", () => this.otherForm());
  }

  // The document as it stands; null while it is no JSON.
  async show(rig, text) {
    Object.assign(this, { rig, text });
    if (this.id !== null && rig) {
      saveRig(this.id, text);
      this.onList();
    }
    by("rig-form").hidden = !rig;
    if (!rig) return;
    drawCabin(by("rig-drawing"), cabinModel(rig));
    const short = isShort(rig);
    by("rig-whole").textContent = short ? "Write it out in full" : "Back to the short form";
    by("rig-whole").hidden = !short && !this.shorts.has(text);
    by("rig-keep").hidden = this.id !== null;
    by("rig-forget").hidden = this.id === null;
    if (!this.schemas && short) this.schemas = (await get("/openapi.json")).components.schemas;
    if (this.text === text) this.fields(text);
  }

  fields(text) {
    const groups = fieldsOf(this.rig, this.schemas);
    const shape = JSON.stringify(groups.map(({ title, fields }) => [title, fields.map(({ path }) => path)]));
    if (shape !== this.shape) {
      this.shape = shape;
      const focus = document.activeElement?.id;
      by("rig-fields").replaceChildren(...groups.map((each) => this.group(each)));
      if (focus) by(focus)?.focus();
    }
    for (const each of groups.flatMap(({ fields }) => fields)) this.fill(each);
    this.shown = text;
  }

  group({ title, fields, remove, add }) {
    const button = (words, act) => make("button", { type: "button", class: "plain", onclick: act }, words);
    return make("div", { class: "group", role: "group", "aria-label": title || null },
      title ? make("h4", {}, title) : null,
      ...fields.map((each) => this.line(each, title)),
      remove ? button(`Remove ${title[0].toLowerCase()}${title.slice(1)}`, () => this.set(remove, undefined)) : null,
      add ? button(add.words, () => this.set(add.path, add.value)) : null);
  }

  line(field) {
    const id = `rig-field${pointerOf(field.path).replaceAll("/", "-")}`;
    const help = [
      field.usual === undefined ? "" : `usually about ${field.kind ? figure(field.kind, field.usual) : `${field.usual} ${field.unit}`}`,
    ].filter(Boolean).join("; ");
    const input = this.input(field, id);
    input.addEventListener(field.type === "string" || field.type === "number" ? "input" : "change", () => this.heard(field, input));
    return make("div", { class: "line" }, make("label", { for: id, title: field.help }, field.label),
      make("span", { class: "entry" }, input, field.unit ? make("span", { class: "unit" }, field.kind ? unitOf(field.kind) : field.unit) : null),
      help ? make("p", { class: "aside usual" }, help) : null, make("p", { class: "fault", id: `${id}-fault`, hidden: "" }));
  }

  input(field, id) {
    if (field.type === "boolean") return make("input", { type: "checkbox", id });
    if (field.type === "choice" || field.type === "build-up") {
      const list = field.choices.map((each) => (typeof each === "string" ? { value: each, words: plain(each) } : each));
      const none = field.optional ? [make("option", { value: "" }, field.type === "build-up" ? "as the walls" : "usual")] : [];
      return make("select", { id }, ...none, ...list.map(({ value, words }) => make("option", { value }, words)));
    }
    return make("input", { type: field.type === "number" ? "number" : "text", step: "any", id, autocomplete: "off" });
  }

  fill(field) {
    const input = by(`rig-field${pointerOf(field.path).replaceAll("/", "-")}`);
    if (!input || input === document.activeElement) return;
    const value = valueAt(this.rig, field.path);
    if (field.type === "boolean") input.checked = Boolean(value);
    else if (field.type === "build-up") input.value = Object.keys(value ?? {})[0] ?? "";
    else if (typeof value === "number") input.value = field.kind ? forField(field.kind, value) : String(value);
    else input.value = value ?? "";
  }

  heard(field, input) {
    const text = input.value.trim();
    if (field.type === "boolean") this.set(field.path, input.checked);
    else if (field.type === "build-up") {
      const usual = field.choices.find(({ value }) => value === text)?.usual;
      this.set(field.path, text ? { [text]: usual } : undefined);
    } else if (field.type === "number") {
      if (text === "" && !field.optional) this.say(field, "needs a number");
      else this.set(field.path, text === "" ? undefined : field.kind ? fromReader(field.kind, Number(text)) : Number(text));
    } else this.set(field.path, text === "" && field.optional ? undefined : text);
  }

  set(path, value) {
    this.rig = withValue(this.rig, path, value);
    this.write(JSON.stringify(this.rig, null, 2));
  }

  say({ path }, words) {
    const id = `rig-field${pointerOf(path).replaceAll("/", "-")}`;
    const [input, place] = [by(id), by(`${id}-fault`)];
    if (!input || !place) return false;
    place.textContent = words;
    place.hidden = !words;
    if (words) {
      input.setAttribute("aria-invalid", "true");
      input.setAttribute("aria-describedby", place.id);
    }
    return true;
  }

  // Faults of the service at the fields that they are about; the document shows all of them.
  showFaults(faults) {
    for (const place of by("rig-fields").querySelectorAll(".fault")) {
      place.hidden = true;
      by(place.id.replace(/-fault$/, ""))?.removeAttribute("aria-invalid");
    }
    for (const each of faults) this.say({ path: each.pointer.split("/").slice(1) }, faultWords(each));
  }

  keepIt() {
    this.id = addRig(this.text);
    this.onList();
    this.show(this.rig, this.text);
  }

  duplicate() {
    const text = JSON.stringify({ ...this.rig, name: `${this.rig?.name ?? "Rig"}, copy` }, null, 2);
    this.id = addRig(text);
    this.onList();
    this.write(text);
  }

  forget() {
    forgetRig(this.id);
    this.id = null;
    this.onList();
    this.show(this.rig, this.text);
  }

  // A rig that is kept under this number, or none of them.
  choose(id) {
    this.id = id;
    return listed().find((each) => each.id === id)?.text ?? null;
  }

  // A short rig becomes a whole one; as long as nobody changes that, it leads back.
  async otherForm() {
    by("rig-form-says").textContent = "";
    if (!isShort(this.rig)) {
      this.write(this.shorts.get(this.text));
      return;
    }
    try {
      const { rig } = await post("/v1/rigs/expansions", this.rig);
      const whole = JSON.stringify(rig, null, 2);
      this.shorts.set(whole, this.text);
      by("rig-document").open = true;
      this.write(whole);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      by("rig-form-says").textContent = error.faults.map(faultWords).join("; ") || error.message;
    }
  }
}
