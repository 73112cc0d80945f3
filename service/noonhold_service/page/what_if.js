// Changes worth trying: each is a change of the scenario, so that it can be compared and taken.

import { rigFacts, withSize } from "./rig_facts.js";
import { documentOf, endsPlan, hours, mergePatch } from "./scenario.js";
import { neat } from "./units.js";
import { hourAsClock } from "./view.js";

const DEGREES = 2;
const EARLIER_H = 2;

// Names with what they change; only those that say something other than the question does.
export function changes(scenario, rig) {
  const facts = rigFacts(rig);
  const degrees = neat("difference", DEGREES);
  const found = [];
  const add = (name, change) => found.push({ name, change });
  if (scenario.shade !== "none") add("no shade", { shade: "none" });
  if (scenario.shade !== "cabin") add("shade on the cabin, panels in the sun", { shade: "cabin" });
  if (scenario.shade !== "all") add("shade on cabin and panels", { shade: "all" });
  if (facts.folding) {
    if (scenario.panel !== "in") add("set-out panel stays packed", { panel: "in" });
    if (scenario.panel !== "out") add("set-out panel out all day", { panel: "out" });
  }
  if (facts.covers) {
    if (scenario.covers !== "open") add("window covers open", { covers: "open" });
    else add("all window covers drawn", { covers: "all" });
  }
  add(`set point ${degrees} higher`, { set_point_c: scenario.set_point_c + DEGREES });
  add(`set point ${degrees} lower`, { set_point_c: scenario.set_point_c - DEGREES });
  if (scenario.policy === "low_then_high" && facts.stages > 1) {
    add("low stage only", { policy: "low_only" });
  }
  const earlier = earlierBy(scenario.cool_from, scenario.cool_to);
  if (earlier) add(`cooling from ${earlier} on`, { cool_from: earlier });
  if (scenario.driving === "no") {
    if (facts.alternator_w > 0) {
      add("two hours on the road first, cooler off", {
        driving: "off",
        drive_from: hourAsClock(Math.max(0, inHours(scenario.cool_from) - 2)),
        drive_to: scenario.cool_from,
      });
    }
  } else {
    add("no driving", { driving: "no" });
    if (scenario.driving === "off") add("cooler on while driving", { driving: "on" });
  }
  add("nose turned a quarter to the right", { heading_deg: (scenario.heading_deg + 90) % 360 });
  const number = { battery: "number" };
  if (scenario.battery === "number" && scenario.charge > 0.6) {
    add("battery begins 30 points lower", { ...number, charge: scenario.charge - 0.3 });
  } else add("battery begins full", { ...number, charge: 1 });
  if (scenario.day === "like") add(`the day ${degrees} hotter`, hotter(scenario));
  return found;
}

const inHours = (clock) => Number(clock.slice(0, 2)) + Number(clock.slice(3)) / 60;

function earlierBy(from, to) {
  const { from: start } = hours(from, to);
  return inHours(start) >= EARLIER_H ? hourAsClock(inHours(start) - EARLIER_H) : null;
}

const hotter = (scenario) => ({
  high_c: scenario.high_c + DEGREES,
  low_c: scenario.low_c + DEGREES,
});

// The request for POST /v1/comparisons, and the changes by the names in it.
export function comparisonOf(scenario, site, climate, rigReference, rigDocument) {
  const base = documentOf(scenario, site, climate, rigReference);
  const named = new Map();
  const variants = [];
  for (const { name, change } of changes(scenario, rigDocument)) {
    const plan = Object.keys(change).some(endsPlan) ? { plan: "" } : {};
    const other = documentOf({ ...scenario, ...change, ...plan }, site, climate, rigReference);
    const patch = mergePatch(base, other);
    if (patch === undefined) continue;
    variants.push({ name, patch });
    named.set(name, change);
  }
  for (const [name, patch] of largerRig(rigDocument)) variants.push({ name, patch: { rig: patch } });
  return { request: { base, variants }, named };
}

// What only another rig would change.
function* largerRig(rig) {
  const { battery_wh, solar_w } = rigFacts(rig);
  if (battery_wh) yield ["50 % more battery", mergePatch(rig, withSize(rig, { battery_wh: battery_wh * 1.5 }))];
  if (solar_w) yield ["50 % more solar", mergePatch(rig, withSize(rig, { array_w: solar_w * 1.5 }))];
}

// Rows for the reader, in the order of the service.
export function ranked(report) {
  return report.order
    .map((name) => report.variants.find((each) => each.name === name))
    .filter((each) => each && each.direction !== "same");
}
