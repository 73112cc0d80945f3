// What an answer says, in sentences. Every number comes from the answer.

import { bare, energy, figure, power } from "./units.js";
import { stateOf } from "./verdict_words.js";
import { clockOf, dateOf, duration, hourAsClock } from "./view.js";

const WARMEST = {
  operative: "Warmest it feels inside",
  air: "Warmest air inside",
  heat_index: "Highest heat index inside",
  pmv: "Highest predicted vote",
};

const measureKind = (measure) => (measure === "pmv" ? "vote" : "temperature");
const percent = (share) => figure("share", share);

// The day with the least of a figure, null where no day has it.
const least = (days, name) =>
  days.reduce((a, b) => ((b[name] ?? Infinity) < (a?.[name] ?? Infinity) ? b : a), null);

// Names, values, and what more there is to say, each worst figure with its hour.
export function figures({ summary, days }) {
  const kind = measureKind(summary.comfort_measure);
  const { totals } = summary;
  const at = (day, hour) =>
    `${summary.days > 1 ? `${dateOf(day.date)} ` : ""}at ${hourAsClock(day[hour])}`;
  const [comfort, cooling, stored] =
    ["comfort_margin_k", "cooling_margin_w", "energy_margin_wh"].map((name) => least(days, name));
  const found = [];
  const step = (value) => (kind === "vote" ? bare("vote", value) : figure("difference", value));
  if (comfort) {
    const margin = comfort.comfort_margin_k;
    const side = margin < 0 ? "over the limit" : "under the limit";
    found.push([WARMEST[summary.comfort_measure], figure(kind, summary.peak_comfort),
      `${at(comfort, "peak_comfort_hour")}, ${step(Math.abs(margin))} ${side}`]);
  }
  found.push(["Without the cooler", figure(kind, summary.uncooled_peak_comfort), "same hours"]);
  if (cooling) {
    const margin = cooling.cooling_margin_w;
    found.push([margin < 0 ? "Cooling short" : "Cooling to spare", power(Math.abs(margin)), at(cooling, "cooling_margin_hour")]);
  }
  const reserve = stored
    ? `, ${energy(Math.abs(stored.energy_margin_wh))} ${stored.energy_margin_wh < 0 ? "under" : "above"} the reserve`
    : "";
  const when = stored ? at(stored, "lowest_charge_hour") : `at ${clockOf(summary.lowest_charge_at)}`;
  const wasted = totals.curtailed_wh < 0.5 ? "no solar wasted" : `${energy(totals.curtailed_wh)} wasted`;
  return [
    ...found,
    ["Battery lowest", percent(summary.lowest_charge), `${when}${reserve}`],
    ["Battery at the end", percent(summary.charge_at_end), `began at ${percent(summary.charge_at_start)}`],
    ["Solar used", energy(totals.solar_wh), wasted],
    ["Cooler used", energy(totals.cooler_wh), `ran ${duration(summary.hours_of_cooling)}`],
  ];
}

const extremes = (column) => {
  let [low, high] = [0, 0];
  column.forEach((each, row) => {
    if (each < column[low]) low = row;
    if (each > column[high]) high = row;
  });
  return { low, high };
};

const moment = (view, row) =>
  view.summary.days > 1 ? `${dateOf(view.times[row])} ${clockOf(view.times[row])}` : clockOf(view.times[row]);

export function temperatureWords(view) {
  const { hours, summary } = view;
  const t = (each) => figure("temperature", each);
  const out = extremes(hours.outdoor_temperature_c);
  const free = extremes(hours.uncooled_cabin_temperature_c);
  const inside = view.times.flatMap((_, row) => (view.inWindow[row] ? [row] : []));
  const cabin = inside.map((row) => hours.cabin_temperature_c[row]);
  const range = cabin.length
    ? ` While the cooler may run, the cabin air is between ${t(Math.min(...cabin))} and ${t(Math.max(...cabin))}.`
    : "";
  const limit = summary.comfort_measure === "pmv" ? "" : ` The limit is ${t(summary.comfort_limit)}.`;
  return (
    `Outdoors from ${t(hours.outdoor_temperature_c[out.low])} at ${moment(view, out.low)} to` +
    ` ${t(hours.outdoor_temperature_c[out.high])} at ${moment(view, out.high)}; without the cooler the` +
    ` cabin would reach ${t(hours.uncooled_cabin_temperature_c[free.high])} at ${moment(view, free.high)}.` +
    range + limit
  );
}

export function chargeWords(view) {
  const { hours, summary, reserve } = view;
  const kept = reserve === null ? "" : ` The cooler stops at ${percent(reserve)}.`;
  return (
    `The battery begins with ${percent(summary.charge_at_start)}, is lowest with` +
    ` ${percent(summary.lowest_charge)} in the hour from ${moment(view, extremes(hours.lowest_state_of_charge).low)},` +
    ` and ends with ${percent(summary.charge_at_end)}.${kept}`
  );
}

export function powerWords(view) {
  const { hours } = view;
  const sun = extremes(hours.solar_used_w).high;
  const cooler = extremes(hours.cooler_power_w).high;
  return (
    `Above the line what comes in, below it what goes out. Solar gives most at ${moment(view, sun)}` +
    ` (${power(hours.solar_used_w[sun])}), the cooler takes most at ${moment(view, cooler)}` +
    ` (${power(hours.cooler_power_w[cooler])}).`
  );
}

export function hourWords(view, row) {
  const { hours } = view;
  const t = (name) => figure("temperature", hours[name][row]);
  const w = (name) => power(hours[name][row]);
  const extra = [
    ["alternator_power_w", "alternator"],
    ["shore_power_w", "shore power"],
    ["heater_power_w", "heater"],
  ].flatMap(([name, word]) => (hours[name][row] > 0.5 ? [`${word} ${w(name)}`] : []));
  return [
    `${view.rowName(row)}: outdoors ${t("outdoor_temperature_c")}, cabin ${t("cabin_temperature_c")}`,
    `without the cooler ${t("uncooled_cabin_temperature_c")}`,
    `charge ${percent(hours.state_of_charge[row])} at the end`,
    `solar ${w("solar_used_w")}`,
    `cooler ${w("cooler_power_w")}`,
    `loads ${power(hours.load_power_w[row] + hours.standing_draw_w[row])}`,
    ...extra,
  ].join(", ");
}

export const TABLE = [
  ["Hour", null],
  ["Outdoors", "outdoor_temperature_c"],
  ["Cabin air", "cabin_temperature_c"],
  ["Feels like", "comfort_measure"],
  ["Without cooler", "uncooled_cabin_temperature_c"],
  ["Charge at end", "state_of_charge"],
  ["Solar used", "solar_used_w"],
  ["Alternator", "alternator_power_w"],
  ["Cooler", "cooler_power_w"],
  ["House loads", "load_power_w"],
];

export function cell(view, name, row) {
  const value = view.hours[name][row];
  if (name === "comfort_measure") return figure(measureKind(view.summary.comfort_measure), value);
  if (name.endsWith("_c")) return figure("temperature", value);
  return name === "state_of_charge" ? percent(value) : power(value);
}

export function dayRow(day, measure) {
  const kind = measureKind(measure);
  const { word, mark } = stateOf(day.verdict, day.first_cause);
  const at = day.first_failure_hour === null ? "" : `, at ${hourAsClock(day.first_failure_hour)}`;
  return [
    dateOf(day.date),
    `${mark} ${word}${at}`,
    figure(kind, day.peak_comfort),
    figure(kind, day.uncooled_peak_comfort),
    percent(day.lowest_charge),
    percent(day.charge_at_end),
  ];
}

export function boundsWords(found) {
  const chance = found.holds.probability;
  const charge = found.lowest_charge;
  const peak = found.peak_temperature_c;
  const t = (each) => bare("temperature", each);
  return (
    `Holds in ${percent(chance)} of ${found.samples} trials in which the rig and the weather differ from what was` +
    ` entered, as they commonly do. In eight of ten trials the lowest charge is ${bare("share", charge.p10)} to` +
    ` ${percent(charge.p90)}, and the warmest hour ${t(peak.p10)} to ${figure("temperature", peak.p90)}` +
    ` (how it feels). The bands in the charts show the same by the hour.`
  );
}
