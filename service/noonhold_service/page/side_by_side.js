// Questions side by side: rigs, places or days, kept in the browser and asked anew by each opening.

import { post, Trouble } from "./asking.js";
import { by, make, table } from "./dom.js";
import { keep, kept } from "./kept.js";
import { questionOf } from "./question_of.js";
import { questionLine } from "./question_words.js";
import { DEFAULTS } from "./scenario.js";
import { energy, figure } from "./units.js";
import { chanceWords, horizons, stamp } from "./verdict_words.js";
import { yearRequestOf, yearWords } from "./year_part.js";

const MOST = 6;

export class SideBySide {
  // `rigs` lists { id, name, change } of every rig to choose from; `onOpen` opens a question.
  constructor(source, scenario, rigs, onOpen) {
    Object.assign(this, { source, scenario, rigs, onOpen });
    this.columns = kept("beside", []).map((each) => ({ scenario: { ...DEFAULTS, ...each } }));
    by("beside-keep").addEventListener("click", () => this.add({}));
    by("beside-rig").addEventListener("change", ({ target }) => {
      const rig = this.rigs().find((each) => each.id === target.value);
      if (rig) this.add(rig.change);
      target.value = "";
    });
    by("beside-place").addEventListener("change", ({ target }) => {
      if (target.value) this.add({ where: "station", station: target.value, ...(scenario.day === "like" ? { day: "typical" } : {}) });
      target.value = "";
    });
    by("beside-years").addEventListener("click", () => this.askYears());
    by("beside-part").addEventListener("toggle", () => this.refresh());
  }

  // The choices, once rigs and stations are known.
  fill() {
    const options = (first, list) => [make("option", { value: "" }, first), ...list.map(({ id, name }) => make("option", { value: id }, name))];
    by("beside-rig").replaceChildren(...options("Another rig here…", this.rigs()));
    by("beside-place").replaceChildren(...options("This rig elsewhere…", this.source.stations));
  }

  async add(change) {
    if (this.columns.length >= MOST) {
      by("beside-says").textContent = `${MOST} at a time: take one away first.`;
      return;
    }
    this.columns.push({ scenario: { ...this.scenario, ...change } });
    this.save();
    await this.refresh();
  }

  save() {
    keep("beside", this.columns.map((each) => each.scenario));
  }

  async refresh() {
    if (!by("beside-part").open) return;
    this.show();
    for (const column of this.columns.filter((each) => !each.answer)) {
      try {
        Object.assign(column, await questionOf(column.scenario, this.source));
        column.answer = await post("/v1/projections", column.request);
        column.trouble = null;
      } catch (error) {
        if (!(error instanceof Trouble || error instanceof SyntaxError)) throw error;
        column.trouble = error.faults?.[0]?.detail ?? error.message;
      }
      this.show();
    }
  }

  async askYears() {
    for (const column of this.columns.filter((each) => each.answer && !each.year)) {
      const request = yearRequestOf(column.request, column.site);
      try {
        column.year = request ? yearWords(await post("/v1/years", request)) : "no station for a year";
      } catch (error) {
        if (!(error instanceof Trouble)) throw error;
        column.year = error.message;
      }
      this.show();
    }
  }

  show() {
    const { columns } = this;
    by("beside-years").hidden = !columns.length;
    by("beside-says").textContent = columns.length ? "" : "Nothing yet: keep this question, then change it or add a rig or a place.";
    if (!columns.length) {
      by("beside").replaceChildren();
      return;
    }
    const heads = columns.map((each) => (each.request ? questionLine(each.scenario, each) : "…"));
    const row = (name, said) => [name, ...columns.map((each) => (each.answer ? said(each) : (each.trouble ?? "…")))];
    const horizon = (at) => (each) => {
      const found = horizons(each.answer)[at];
      return found ? [`${found[1].mark} ${found[1].word}`, found[2]].filter(Boolean).join(": ") : "–";
    };
    const rows = [
      row("Verdict", ({ answer }) => `${stamp(answer).mark} ${stamp(answer).word}`),
      row("Today", horizon(0)), row("Day after day", horizon(1)), row("Arriving full", horizon(2)),
      row("Warmest inside", ({ answer: { summary } }) => figure(summary.comfort_measure === "pmv" ? "vote" : "temperature", summary.peak_comfort)),
      row("Battery lowest", ({ answer }) => figure("share", answer.summary.lowest_charge)),
      row("Solar used", ({ answer }) => energy(answer.summary.totals.solar_wh)),
      row("Cooler used", ({ answer }) => energy(answer.summary.totals.cooler_wh)),
    ];
    if (columns.some(({ answer }) => chanceWords(answer))) rows.push(row("Chance", ({ answer }) => chanceWords(answer) || "–"));
    if (columns.some(({ year }) => year)) rows.push(row("Year", ({ year }) => year ?? "…"));
    rows.push(["", ...columns.map((each, index) => make("span", { class: "takes" },
      make("button", { type: "button", class: "plain", "aria-label": `Open: ${heads[index]}`, onclick: () => this.onOpen(each.scenario) }, "Open"),
      make("button", { type: "button", class: "plain", "aria-label": `Take away: ${heads[index]}`, onclick: () => this.drop(index) }, "Take away")))]);
    table(by("beside"), ["", ...heads], rows);
  }

  drop(index) {
    this.columns.splice(index, 1);
    this.save();
    this.show();
    by("beside-keep").focus();
  }
}

