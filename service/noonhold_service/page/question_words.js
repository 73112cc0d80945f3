// The question in one line, and each of its parts in one.

import { rigFacts } from "./rig_facts.js";
import { energy, neat } from "./units.js";
import { dateOf, yearDay } from "./view.js";
import { monthName, position } from "./telling.js";

const chosen = (form, name) => form.field(name)?.selectedOptions[0]?.textContent ?? "";

const placeWords = (scenario, site) => (scenario.where === "station" && site?.name ? site.name : position(site ?? scenario));

export function daysWords(scenario, day) {
  if (scenario.day === "like") return `${dateOf(scenario.date)}, ${neat("temperature", scenario.high_c)} at its hottest`;
  const date = day ? yearDay(day) : monthName(scenario.month);
  return scenario.day === "week" ? `week from ${date}` : date;
}

// "Flatbed cabin at Kelpanoor, 15 Jul, 09:00 to 20:00, 24 °C"
export function questionLine(scenario, { rig, site, day }) {
  return [
    `${rig?.name ?? "Rig"} at ${placeWords(scenario, site)}`,
    daysWords(scenario, day),
    `${scenario.cool_from} to ${scenario.cool_to}`,
    neat("temperature", scenario.set_point_c),
  ].join(", ");
}

function startWords(scenario) {
  const battery = scenario.battery === "settled" ? "" : `battery ${Math.round(scenario.charge * 100)} %`;
  const inside = { settled: "", outdoor: "cabin as outdoors", number: `cabin ${neat("temperature", scenario.inside_c)}` };
  return [battery, inside[scenario.inside]].filter(Boolean).join(", ") || "as the days before left it";
}

function useWords(scenario) {
  const found = [];
  if (scenario.shade !== "none") found.push(`shade ${scenario.shade_from} to ${scenario.shade_to}`);
  if (scenario.covers !== "open") found.push("covers drawn");
  if (scenario.panel === "in") found.push("set-out panel packed");
  if (scenario.driving !== "no") found.push(`driving ${scenario.drive_from} to ${scenario.drive_to}`);
  return found.join(", ") || "none";
}

export function partWords(scenario, { rig, site, day }, form) {
  const people = scenario.people === 1 ? "1 person" : `${scenario.people} people`;
  const battery = rig ? rigFacts(rig).battery_wh : 0;
  return {
    rig: [rig?.name, battery ? energy(battery) : null].filter(Boolean).join(", "),
    where: `${placeWords(scenario, site)}, front ${chosen(form, "heading_deg")}`,
    day: daysWords(scenario, day),
    cool: `${scenario.cool_from} to ${scenario.cool_to}, ${neat("temperature", scenario.set_point_c)}, ${people}`,
    start: startWords(scenario),
    use: useWords(scenario),
  };
}
