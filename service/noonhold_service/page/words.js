// What an answer says, in sentences. Every number comes from the answer.

import { bare, energy, figure, neat, power } from "./units.js";
import { clockOf, dateOf, hourAsClock } from "./view.js";

export const MEASURES = {
  operative: "air and walls together",
  air: "air temperature",
  heat_index: "heat index",
  pmv: "predicted vote",
};

const measureKind = (measure) => (measure === "pmv" ? "vote" : "temperature");
const percent = (share) => figure("share", share);

function limitOf(summary) {
  const text = neat(measureKind(summary.comfort_measure), summary.comfort_limit);
  if (summary.comfort_measure === "pmv") {
    return `a vote of ${bare("vote", summary.comfort_limit, 1)}`;
  }
  const measured = { heat_index: " by heat index", air: "", operative: "" };
  return text + measured[summary.comfort_measure];
}

// Held, too warm, or out of energy: the stamp above the sentence, never a colour alone.
export function stamp(answer) {
  const { summary } = answer;
  if (summary.comfortable_fraction === null) return { word: "Not judged", mark: "○", holds: "" };
  if (summary.verdict !== "fails") return { word: "Holds", mark: "●", holds: "yes" };
  return !summary.first_cause.startsWith("energy")
    ? { word: "Does not hold: too warm", mark: "▲", holds: "no" }
    : { word: "Does not hold: the energy runs out", mark: "▽", holds: "no" };
}

export function sentence(answer) {
  const { summary, days } = answer;
  const limit = limitOf(summary);
  const lowest = `lowest charge ${percent(summary.lowest_charge)} in the hour from ${clockOf(summary.lowest_charge_at)}`;
  if (summary.comfortable_fraction === null) {
    return "Nothing was judged: the cooler may not run for longer than the hour that it is given to pull the cabin down.";
  }
  if (summary.days > 1) return severalDays(answer, limit);
  const day = days[0];
  if (summary.verdict !== "fails") {
    const share = summary.comfortable_fraction;
    const time = share < 0.995 ? `for ${percent(share)} of the time` : "all day";
    const idle = day.needs_cooling ? "" : ", and would without the cooler";
    return `Holds ${limit} ${time}${idle}; ${lowest}.`;
  }
  const at = day.first_failure_hour === null ? "" : ` at ${hourAsClock(day.first_failure_hour)}`;
  if (!summary.first_cause.startsWith("energy")) {
    return `Goes over ${limit}${at}: ${tooSmall(answer)}. The battery could still give more; ${lowest}.`;
  }
  const peak = figure(measureKind(summary.comfort_measure), day.peak_comfort);
  return `Runs out of energy${at}; within ${limit} for ${percent(day.comfortable_fraction)} of the time, at worst ${peak}.`;
}

// A cooler that rests while the cabin is over the limit is not too small: it is told to rest.
function tooSmall({ summary, days, hours }) {
  const day = days.find((each) => each.verdict === "fails");
  const over = hours.time.flatMap((time, row) =>
    time.startsWith(day.date) && hours.comfort_measure[row] > summary.comfort_limit && hours.duty[row] > 0 ? [row] : [],
  );
  const rests = over.length > 0 && over.every((row) => hours.duty[row] < 0.97);
  return rests ? "the set point or the stages allowed leave it there" : "the cooler is too small";
}

function severalDays(answer, limit) {
  const { summary, days } = answer;
  if (summary.verdict !== "fails") {
    const day = dateOf(summary.lowest_charge_at);
    return `Holds ${limit} on all ${summary.days} days; lowest charge ${percent(summary.lowest_charge)} on ${day} in the hour from ${clockOf(summary.lowest_charge_at)}.`;
  }
  const first = days.find((each) => each.verdict === "fails");
  const at = first.first_failure_hour === null ? "" : ` at ${hourAsClock(first.first_failure_hour)}`;
  const what = !summary.first_cause.startsWith("energy") ? tooSmall(answer) : "the energy runs out";
  return `Holds ${limit} on ${summary.holding_days} of ${summary.days} days; on ${dateOf(first.date)}${at} ${what}.`;
}

export function figures({ summary }) {
  const kind = measureKind(summary.comfort_measure);
  const { totals } = summary;
  return [
    ["Warmest, as judged", figure(kind, summary.peak_comfort), MEASURES[summary.comfort_measure]],
    ["Without the cooler", figure(kind, summary.uncooled_peak_comfort), "same hours"],
    ["Lowest charge", percent(summary.lowest_charge), `from ${clockOf(summary.lowest_charge_at)}`],
    ["Charge at the end", percent(summary.charge_at_end), `began with ${percent(summary.charge_at_start)}`],
    ["Sun used", energy(totals.solar_wh), `${energy(totals.curtailed_wh)} found no place`],
    ["Cooler took", energy(totals.cooler_wh), `ran ${hourAsClock(summary.hours_of_cooling)} h`],
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
  const { hours, summary } = view;
  const sun = extremes(hours.solar_used_w).high;
  const cooler = extremes(hours.cooler_power_w).high;
  return (
    `The battery begins with ${percent(summary.charge_at_start)}, is lowest with` +
    ` ${percent(summary.lowest_charge)} in the hour from ${moment(view, extremes(hours.lowest_state_of_charge).low)},` +
    ` and ends with ${percent(summary.charge_at_end)}. Solar gives most at ${moment(view, sun)}` +
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
  ["Judged", "comfort_measure"],
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
  const why = { capacity: "▲ cooler too small", energy_balance: "▽ energy runs out", energy_storage: "▽ energy runs out", measure: "▲ set point too high", schedule: "▲ cooling begins too late" }[day.first_cause];
  const at = day.first_failure_hour === null ? "" : ` at ${hourAsClock(day.first_failure_hour)}`;
  return [
    dateOf(day.date),
    day.verdict !== "fails" ? "● holds" : `${why ?? "does not hold"}${at}`,
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
    ` said as they commonly do. In eight of ten trials the lowest charge is ${bare("share", charge.p10)} to` +
    ` ${percent(charge.p90)}, and the warmest hour ${t(peak.p10)} to ${figure("temperature", peak.p90)}` +
    ` (air and walls together). The bands in the charts show the same by the hour.`
  );
}
