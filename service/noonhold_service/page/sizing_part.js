// How big must it be? The service's sizing for the question as it stands, its frontier drawn, and
// any size taken over with a click.

import { post, Trouble } from "./asking.js";
import { by, make, svg, table } from "./dom.js";
import { faultWords } from "./fault_words.js";
import { rigFacts } from "./rig_facts.js";
import { energy, power } from "./units.js";
import { inReadersDegrees } from "./verdict_words.js";

const [LEAST, MOST] = [0.25, 4]; // of what the rig has
const BATTERY_WH = [100, 100_000];
const ARRAY_W = [50, 20_000];
const [WIDTH, HEIGHT, EDGE] = [420, 240, 46];

const range = (held, [least, most]) => ({
  least: Math.max(least, Math.round(held * LEAST)),
  most: Math.min(most, Math.max(least * 2, Math.round(held * MOST))),
});

export function sizingRequest(projection, rig, what, confidence) {
  const { battery_wh, solar_w } = rigFacts(rig);
  return {
    projection,
    size: what,
    required_feasible_fraction: 1,
    confidence,
    ...(what.startsWith("battery") ? { battery_wh: range(battery_wh || 1000, BATTERY_WH) } : {}),
    ...(what.endsWith("array") ? { array_w: range(solar_w || 400, ARRAY_W) } : {}),
    ...(what === "cooler" ? { cooler_factor: { least: 0.5, most: 3 } } : {}),
  };
}

export class SizingPart {
  // `onSize` takes a size, `onRig` a whole rig over.
  constructor(onSize, onRig) {
    Object.assign(this, { onSize, onRig, current: null });
    by("sizing-ask").addEventListener("click", () => this.ask());
  }

  begin(current) {
    this.current = current;
    by("sizing-says").textContent = "";
    by("sizing-picture").replaceChildren();
    by("sizing-table").replaceChildren();
    by("sizing-take").replaceChildren();
  }

  async ask() {
    const { current } = this;
    if (!current) return;
    by("sizing-says").textContent = "Trying sizes…";
    try {
      const found = await post("/v1/sizings", sizingRequest(current.request, current.rig, by("sizing-what").value, by("sizing-sure").value));
      if (current === this.current) this.show(found);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      by("sizing-says").textContent = error.faults.map(faultWords).join("; ") || error.message;
    }
  }

  show(found) {
    by("sizing-says").textContent = inReadersDegrees(found.sentence);
    const points = found.frontier.filter(({ trial }) => trial);
    by("sizing-take").replaceChildren(
      ...(found.rig && found.found ? [make("button", { type: "button", onclick: () => this.onRig(found.rig) }, "Take this size")] : []),
    );
    if (!points.length) {
      by("sizing-picture").replaceChildren();
      by("sizing-table").replaceChildren();
      return;
    }
    const take = ({ trial: { size } }) => this.onSize({ battery_wh: size.battery_wh, array_w: size.array_w });
    drawFrontier(by("sizing-picture"), points, found.given?.size, take);
    table(by("sizing-table"), ["Solar", "Smallest battery", ""], points.map((each) => [
      power(each.array_w), energy(each.trial.size.battery_wh),
      make("button", { type: "button", class: "plain", "aria-label": `Take ${power(each.array_w)} of solar with ${energy(each.trial.size.battery_wh)}`, onclick: () => take(each) }, "Take"),
    ]), { numeric: [0, 1] });
  }
}

// Above and right of the line is enough; a cross marks the rig as it is.
export function drawFrontier(host, points, given, onTake) {
  const most = (values) => Math.max(...values) * 1.08;
  const [right, top] = [most([...points.map((each) => each.array_w), given?.array_w ?? 0]), most([...points.map(({ trial }) => trial.size.battery_wh), given?.battery_wh ?? 0])];
  const x = (value) => EDGE + (value / right) * (WIDTH - EDGE - 10);
  const y = (value) => HEIGHT - EDGE + 8 - (value / top) * (HEIGHT - EDGE - 10);
  const steps = (limit) => {
    const step = [50, 100, 250, 500, 1000, 2500, 5000, 10_000, 25_000].find((each) => limit / each <= 5) ?? 50_000;
    return Array.from({ length: Math.floor(limit / step) + 1 }, (_, k) => k * step);
  };
  const at = points.map((each) => [x(each.array_w), y(each.trial.size.battery_wh)]);
  const parts = [
    ...steps(right).flatMap((each) => [svg("path", { class: "grid", d: `M${x(each)} ${y(0)}V8` }), svg("text", { x: x(each), y: y(0) + 16, "text-anchor": "middle" }, String(each))]),
    ...steps(top).flatMap((each) => [svg("path", { class: "grid", d: `M${EDGE} ${y(each)}H${WIDTH - 10}` }), svg("text", { x: EDGE - 5, y: y(each) + 4, "text-anchor": "end" }, String(each / 1000))]),
    svg("text", { x: WIDTH - 10, y: HEIGHT - 4, "text-anchor": "end" }, "solar, W"),
    svg("text", { x: 2, y: 12 }, "battery, kWh"),
    svg("path", { class: "front", d: at.map(([a, b], k) => `${k ? "L" : "M"}${a} ${b}`).join("") }),
  ];
  points.forEach((each, k) => {
    const dot = svg("circle", { class: "dot", cx: at[k][0], cy: at[k][1], r: 6 });
    dot.append(svg("title", {}, `${power(each.array_w)}, ${energy(each.trial.size.battery_wh)}: take it`));
    dot.addEventListener("click", () => onTake(each));
    parts.push(dot);
  });
  if (given?.battery_wh && given?.array_w) {
    const [a, b] = [x(given.array_w), y(given.battery_wh)];
    parts.push(svg("path", { class: "cross", d: `M${a - 6} ${b}h12M${a} ${b - 6}v12` }), svg("text", { x: a + 9, y: b + 4 }, "as it is"));
  }
  const picture = svg("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": "Smallest batteries for each size of solar; the same in the table below", class: "frontier" });
  picture.append(...parts);
  host.replaceChildren(picture);
}
