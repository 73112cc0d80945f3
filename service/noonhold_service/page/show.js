// The answer on the page.

import { charge, inUse, lines, powers, POWERS_IN, POWERS_OUT, temperatures } from "./charts.js";
import { by, make, table } from "./dom.js";
import { palette, swatch } from "./palette.js";
import { drawPlan } from "./plan.js";
import { bare, figure, unitOf } from "./units.js";
import { viewOf } from "./view.js";
import { assumptionWords } from "./assumption_words.js";
import { changeOf, remediesOf, remedyWords, sizeOf } from "./remedies.js";
import { chanceWords, horizons, sentence, stamp, stateOf } from "./verdict_words.js";
import { boundsWords, cell, chargeWords, dayRow, figures, hourWords, powerWords, TABLE, temperatureWords } from "./words.js";

const NARROWEST = 260;

export class Show {
  // `onTry` takes a change of the question over, `onSize` another size of the rig.
  constructor(onTry, onSize) {
    Object.assign(this, { onTry, onSize });
    this.drawn = [];
    this.row = 12;
    this.sync = uPlot.sync("hours");
    by("hour").addEventListener("input", (event) => this.point(Number(event.target.value)));
    by("table").closest("details").addEventListener("toggle", () => this.hoursTable());
    let width = 0;
    new ResizeObserver(([entry]) => {
      if (Math.abs(entry.contentRect.width - width) < 1) return;
      width = entry.contentRect.width;
      this.draw();
    }).observe(by("temperatures"));
  }

  // All of an answer; `bounds` is null where they were not asked for.
  answer(current, bounds) {
    this.view = viewOf(current.answer, current.request, bounds, current.rig);
    const { word, mark, holds } = stamp(current.answer);
    by("stamp").textContent = `${mark} ${word}`;
    by("sentence").textContent = sentence(current.answer);
    by("bar").dataset.holds = holds;
    this.advice(current);
    by("horizons").replaceChildren(
      ...horizons(current.answer).map(([name, state, more]) =>
        make("div", { "data-holds": state.holds }, make("dt", {}, name),
          make("dd", {}, `${state.mark} ${state.word}`, more ? make("small", {}, more) : null)),
      ),
    );
    this.remedies(current);
    by("context").textContent = current.context;
    by("cautions").replaceChildren(...current.answer.cautions.map((each) => make("li", {}, each)));
    by("figures").replaceChildren(
      ...figures(current.answer).map(([name, value, more]) =>
        make("div", {}, make("dt", {}, name), make("dd", {}, value, make("small", {}, more))),
      ),
    );
    const { clock } = current.answer;
    by("clock").textContent = `Hours of the place's clock: ${clock.name}, ${clock.basis}.`;
    by("found").removeAttribute("aria-busy");
    this.draw();
    by("temperatures-words").textContent = temperatureWords(this.view);
    by("charge-words").textContent = chargeWords(this.view);
    by("power-words").textContent = powerWords(this.view);
    by("hour").max = String(this.view.count - 1);
    this.point(Math.min(this.row, this.view.count - 1));
    this.hoursTable();
    this.daysTable(current.answer);
    by("bounds-says").textContent = bounds ? boundsWords(bounds) : "";
  }

  draw() {
    if (!this.view) return;
    const { view } = this;
    for (const each of this.drawn) each.destroy();
    const colours = palette();
    const width = Math.max(NARROWEST, Math.floor(by("temperatures").clientWidth));
    const options = { colours, width, sync: this.sync, onHour: (row) => this.point(row, false) };
    this.drawn = [
      temperatures(by("temperatures"), view, { ...options, height: 270 }),
      charge(by("charge-chart"), view, { ...options, height: 190 }),
      powers(by("power-chart"), view, { ...options, height: 230 }),
    ];
    drawPlan(by("plan"), view, width);
    // Their scales stand once uPlot has drawn, in a microtask of its own.
    setTimeout(() => this.moveCursors(), 0);
    const entry = ([name, label], kind) => make("li", {}, swatch(name, colours, kind), label);
    const band = (name) => (view.bounds ? [make("li", {}, swatch(name, colours, "band"), "eight of ten trials")] : []);
    by("temperatures-key").replaceChildren(
      ...lines(view).map((each) => entry(each, "line")), ...band("judged"),
    );
    by("charge-key").replaceChildren(
      entry(["charge", "charge"], "line"),
      ...(view.reserve === null ? [] : [entry(["reserve", "reserve: the cooler stops"], "line")]),
      ...band("charge"),
    );
    by("power-key").replaceChildren(
      ...[...inUse(view.hours, POWERS_IN), ...inUse(view.hours, POWERS_OUT)].map((each) => entry(each, "area")),
    );
  }

  point(row, move = true) {
    this.row = row;
    const slider = by("hour");
    const words = hourWords(this.view, row);
    if (Number(slider.value) !== row) slider.value = String(row);
    slider.setAttribute("aria-valuetext", words);
    by("hour-says").textContent = `${words}.`;
    if (move) this.moveCursors();
  }

  moveCursors() {
    for (const each of this.drawn) {
      each.setCursor({ left: each.valToPos(this.row + 0.5, "x"), top: 20 }, false);
      each.readOut();
    }
  }

  hoursTable() {
    if (!this.view || !by("table").closest("details").open) return;
    const { view } = this;
    const rows = view.times.map((_, row) => [
      view.rowName(row),
      ...TABLE.slice(1).map(([, name]) => cell(view, name, row)),
    ]);
    table(by("table"), TABLE.map(([head]) => head), rows, { numeric: TABLE.map((_, k) => k).slice(1) });
  }

  daysTable({ days, summary }) {
    by("days-part").hidden = days.length < 2;
    table(
      by("days"),
      ["Day", "Verdict", "Warmest", "Without cooler", "Battery lowest", "At its end"],
      days.map((each) => dayRow(each, summary.comfort_measure)),
      { numeric: [2, 3, 4, 5] },
    );
  }

  // The chance, and the defaults with those that decide the verdict, once they are known.
  advice({ answer, advised }) {
    by("chance").textContent = chanceWords(advised ?? answer);
    this.assumptions((advised ?? answer).assumptions);
  }

  // Each with a button where it is a field of the question or a size of the rig.
  remedies({ answer, scenario }) {
    const found = remediesOf(answer);
    by("remedies-part").hidden = !found || (!found.length && answer.summary.verdict === "holds");
    const none = "No single change that was tried is enough.";
    by("remedies").replaceChildren(
      ...(found ?? []).map((each) => {
        const change = changeOf(each, scenario, answer.summary.first_cause);
        const words = remedyWords(each);
        const size = change ? null : sizeOf(each);
        const act = change ? () => this.onTry(change) : () => this.onSize(size);
        const button = change || size
          ? make("button", { type: "button", "aria-label": `Apply: ${words}`, onclick: act }, "Apply")
          : null;
        return make("li", {}, make("span", {}, words), button);
      }),
      ...(found?.length === 0 ? [make("li", {}, none)] : []),
    );
  }

  assumptions(list) {
    const deciding = list.filter((each) => each.decisive).length;
    by("assumed-count").textContent =
      `${list.length} defaults used${deciding ? `, ${deciding} of them could turn the verdict` : ""}`;
    by("assumed").replaceChildren(
      ...list.map((each) => {
        const { name, value, reason } = assumptionWords(each);
        const turns = each.decisive ? make("em", {}, "▲ could turn the verdict: ") : null;
        return make("li", {}, turns, make("b", {}, `${name}:`), ` ${[value, reason].filter(Boolean).join(" – ")}`);
      }),
    );
  }

  // Rows in the service's order; `named` holds the changes that this page can take over.
  changes(base, rows, named) {
    const kind = base.comfort_measure === "pmv" ? "vote" : "temperature";
    const head = ["Change", `Warmest, ${unitOf(kind)}`, "Battery lowest, %", "Verdict", "In the question"];
    const arrow = (type, from, to) => `${bare(type, from)}\u00a0→\u00a0${bare(type, to)}`;
    table(
      by("changes"),
      head,
      rows.map((each) => [
        make("span", { class: `change-${each.direction}` }, make("span", {}, `${each.direction}: `), each.name),
        arrow(kind, base.peak_comfort, each.figures.peak_comfort),
        arrow("share", base.lowest_charge, each.figures.lowest_charge),
        thenWords(base, each.figures),
        named.has(each.name)
          ? make("button", { type: "button", class: "plain", "aria-label": `Try it: ${each.name}`, onclick: () => this.onTry(named.get(each.name)) }, "Try it")
          : "another rig",
      ]),
      { numeric: [1, 2] },
    );
  }
}

export function thenWords(base, figures) {
  const { word } = stateOf(figures.verdict, figures.first_cause);
  return `${base.verdict === figures.verdict ? "still" : "now"} ${word[0].toLowerCase()}${word.slice(1)}`;
}

export function changeWords(base, each) {
  const kind = base.comfort_measure === "pmv" ? "vote" : "temperature";
  return (
    `${each.name}: warmest ${bare(kind, base.peak_comfort)} → ${figure(kind, each.figures.peak_comfort)}, battery lowest ${bare("share", base.lowest_charge)} → ${figure("share", each.figures.lowest_charge)},` +
    ` ${thenWords(base, each.figures)}`
  );
}
