// What costs more than the answer, asked once it stands: changes, chance, danger, likely range.

import { post } from "./asking.js";
import { by } from "./dom.js";
import { dangerWords } from "./telling.js";
import { comparisonOf, ranked } from "./what_if.js";

const IDLE_MS = 450;
const CHANGES_SHOWN = 6;
const NONE = () => ({ base: null, rows: [], named: new Map() });

export const STUDIES = ["changes", "chance", "danger", "range"];

export class Studies {
  // `later` starts something by name after a while; `laySoon` lays the sheet out anew.
  constructor(show, later, laySoon) {
    Object.assign(this, { show, later, laySoon });
    this.compared = NONE();
    this.bounds = null;
  }

  // All studies of an answer that has just come.
  begin(current, signal) {
    this.current = current;
    this.bounds = null;
    this.soon("changes", signal);
    this.soon("danger", signal);
    // Null where it was not asked for: a service that knows it is asked once the answer stands.
    if ("chance" in current.answer.summary) this.soon("chance", signal);
    if (by("bounds").checked) this.soon("range", signal);
  }

  soon(name, signal, after = IDLE_MS) {
    this.later(name, after, () => this.ask(name, signal));
  }

  // A study that is not possible says so in its own place; one that is busy is asked again.
  async ask(name, signal) {
    try {
      await this[name](signal);
    } catch (error) {
      if (signal.aborted || error.name === "AbortError") return;
      if (error.waitS) this.soon(name, signal, error.waitS * 1000);
      if (name === "range") by("bounds-says").textContent = `Not known: ${error.message}`;
      if (name !== "changes") return;
      by("change-says").textContent = `Not compared: ${error.message}`;
      by("changes").replaceChildren();
      this.compared = NONE();
    }
  }

  async changes(signal) {
    const { site, climate, rig, request, scenario } = this.current;
    by("change-says").textContent = this.compared.base ? "" : "Comparing…";
    const asked = comparisonOf(scenario, site, climate, request.rig, rig);
    const report = await post("/v1/comparisons", asked.request, { signal });
    const rows = ranked(report).slice(0, CHANGES_SHOWN);
    this.compared = { base: report.base.figures, rows, named: asked.named };
    this.tellChanges();
    by("change-says").textContent =
      `${report.variants.length} changes compared, each made alone; biggest effects first.`;
    this.laySoon();
  }

  // The chance of holding, and which defaults decide.
  async chance(signal) {
    const { current } = this;
    current.advised = await post("/v1/projections", { ...current.request, chance: true }, { signal });
    if (signal.aborted) return;
    this.show.advice(current);
    this.laySoon();
  }

  // Minutes until it is dangerous inside, beside the number of people.
  async danger(signal) {
    const { current } = this;
    by("danger").textContent = "";
    const asked = { projection: current.request, occupants: Math.max(1, current.scenario.people) };
    current.danger = await post("/v1/warm-ups", asked, { signal });
    if (!signal.aborted) this.tellDanger();
  }

  async range(signal) {
    by("bounds-says").textContent = "Trying a few hundred rigs and days like these…";
    this.bounds = await post("/v1/uncertainties", { projection: this.current.request }, { signal });
    if (signal.aborted) return;
    this.show.answer(this.current, this.bounds);
    this.laySoon();
  }

  tellChanges() {
    const { base, rows, named } = this.compared;
    if (base) this.show.changes(base, rows, named);
  }

  tellDanger() {
    const { danger } = this.current;
    by("danger").textContent = danger ? dangerWords(danger) : "";
  }

  // In other units.
  retell() {
    this.show.answer(this.current, this.bounds);
    this.tellChanges();
    this.tellDanger();
  }
}
