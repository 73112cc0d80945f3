// The question in words: beside its fields, under the sentence, and on the sheet.

import { isProposed } from "./proposed_day.js";
import { rigFacts } from "./rig_facts.js";
import { energy, figure, neat, power } from "./units.js";
import { clockOf, dateOf, yearDay } from "./view.js";

export const MONTHS = [
  "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
  "November", "December",
];

export const monthName = (month) => MONTHS[month - 1];

// The service's own bound, so that its refusal is foreseen; it alone decides.
const LIMIT_KM = 100;

export const isFar = ({ nearest }) => !nearest || nearest.distance_km > LIMIT_KM;

export function rigWords(rig, own) {
  const { cooling_w, battery_wh, solar_w } = rigFacts(rig);
  const parts = [
    cooling_w ? `cooler ${power(cooling_w)} at full` : "no cooler",
    battery_wh ? `battery ${energy(battery_wh)}` : null,
    `solar ${power(solar_w)}`,
  ].filter(Boolean);
  return `${own && rig.name ? `${rig.name}: ` : ""}${parts.join(", ")}.`;
}

export function position({ latitude, longitude }) {
  const face = (value, plus, minus) => `${Math.abs(value).toFixed(2)}° ${value < 0 ? minus : plus}`;
  return `${face(latitude, "N", "S")}, ${face(longitude, "E", "W")}`;
}

export function siteWords(scenario, site) {
  if (scenario.where === "station") {
    return `${position(site)}, ${figure("height", site.elevation_m)} up; ${site.source}.`;
  }
  const { nearest } = site;
  if (!nearest) return "No station is known: describe the day.";
  const apart = Math.round(site.elevation_m - nearest.elevation_m);
  const height = Math.abs(apart) < 1 ? "as high" : `${figure("height", Math.abs(apart))} ${apart > 0 ? "lower" : "higher"}`;
  const far = isFar(site) && scenario.day !== "like" ? " Too far to use: enter the day's weather." : "";
  return `Nearest station: ${nearest.name}, ${figure("distance", nearest.distance_km)} away, ${height}.${far}`;
}

export function dayWords(scenario, site, climate, day) {
  const t = (value) => figure("temperature", value);
  if (scenario.day === "like") {
    const far = scenario.where === "point" && isFar(site);
    if (far && isProposed(scenario)) {
      return "A proposal from latitude and season, not weather of this place: enter the day you expect.";
    }
    if (far || !climate) return "The sun is that of the date and place.";
    const { hottest_day: hottest } = climate;
    return (
      `The sun is that of the date and place. For comparison, the station's hottest day, ${yearDay(hottest.first_day)}:` +
      ` high ${t(hottest.high_c)}, low ${t(hottest.low_c)}, dew point ${t(hottest.mean_dew_point_c)}.`
    );
  }
  if (scenario.day === "week") {
    const { hottest_week: week } = climate;
    return `Seven days from ${yearDay(day)} of the station's typical year: ${t(week.low_c)} to ${t(week.high_c)}.`;
  }
  if (scenario.day === "date") return `${yearDay(day)} of the station's typical year.`;
  const month = climate.months[scenario.month - 1];
  return (
    `${yearDay(day)} of the station's typical year is most like its ${MONTHS[scenario.month - 1]}, when days reach` +
    ` ${t(month.mean_high_c)}, nights ${t(month.mean_low_c)}, on average.`
  );
}

export function contextWords(scenario, { site }, answer, form) {
  const where = scenario.where === "station" ? `at ${site.name}, ${site.region}` : `at ${position(site)}`;
  const days = answer.days;
  const when =
    scenario.day === "like"
      ? `on ${dateOf(scenario.date)}, ${figure("temperature", scenario.high_c)} at its hottest`
      : days.length > 1
        ? `from ${dateOf(days[0].date)} to ${dateOf(days.at(-1).date)} of a typical year`
        : `on ${dateOf(days[0].date)} of a typical year`;
  const facing = chosen(form, "heading_deg");
  return `${answer.rig} ${where}, front to the ${facing}, ${when}.`;
}

const chosen = (form, name) => form.field(name).selectedOptions[0]?.textContent ?? "";
const span = (scenario, name) => `${scenario[`${name}_from`]} to ${scenario[`${name}_to`]}`;

// How soon each threshold is reached after the cooler stops, in the quickest of the cases.
export function dangerWords({ stop_at, worst, cases }) {
  const soonest = new Map();
  for (const each of cases.flatMap((one) => one.minutes_until)) {
    if (each.minutes === null) continue;
    soonest.set(each.temperature_c, Math.min(each.minutes, soonest.get(each.temperature_c) ?? Infinity));
  }
  const when = `${worst ? "at the worst moment, " : "at "}${clockOf(stop_at)}`;
  const steps = [...soonest].map(([heat, minutes]) => `${neat("temperature", heat)} after ${Math.floor(minutes)} min`);
  if (!steps.length) return "";
  return `If the cooler stops (${when}): inside ${steps.join(", ")}. A warning, not an allowance.`;
}

// Name and text of everything the question says.
export function askedWords(scenario, { site, answer }, form) {
  const t = (name) => figure("temperature", scenario[name]);
  const percent = (name) => figure("share", scenario[name]);
  const place =
    scenario.where === "station" ? `${site.name}, ${position(site)}` : `${position(site)}${scenario.day === "like" ? "" : `; weather of ${site.nearest?.name ?? "no station"}`}`;
  const day =
    scenario.day === "like"
      ? `${scenario.date}, ${t("low_c")} to ${t("high_c")}, dew point ${t("dew_point_c")}, cloud ${percent("cloud")}`
      : scenario.day === "week"
        ? `hottest week of the typical year, from ${dateOf(answer.days[0].date)}`
        : `typical day of ${MONTHS[scenario.month - 1]}, ${dateOf(answer.days[0].date)}`;
  const limit = scenario.measure === "pmv" ? `vote of ${scenario.limit_vote}` : t("limit_c");
  const inside = scenario.inside === "number" ? t("inside_c") : chosen(form, "inside");
  const shade = scenario.shade === "none" ? "none" : `${chosen(form, "shade")}, ${span(scenario, "shade")}, ${percent("shade_depth")} of the direct sun`;
  const panel = scenario.panel === "hours" ? `out ${span(scenario, "panel")}` : chosen(form, "panel");
  const covers = scenario.covers === "open" ? "open all day" : `${chosen(form, "covers")}, ${span(scenario, "covers")}`;
  const driving = scenario.driving === "no" ? "parked all day" : `${span(scenario, "drive")} at ${figure("speed", scenario.drive_speed_km_h)}, ${scenario.driving === "off" ? "cooler off" : "cooler as usual"}`;
  return [
    ["Rig", answer.rig],
    ["Place", place],
    ["Height", `${figure("height", site.elevation_m)}, front to the ${chosen(form, "heading_deg")}`],
    ["Day", day],
    ["Clock", `${answer.clock.name}, from ${clockOf(answer.hours.time[0])}`],
    ["Cooler", `${span(scenario, "cool")}, set to ${t("set_point_c")}`],
    ["Stages", chosen(form, "policy")],
    ["Comfort", `${chosen(form, "measure")}, up to ${limit}`],
    ["People", String(scenario.people)],
    ["Battery", scenario.battery === "number" ? `${percent("charge")} at midnight` : chosen(form, "battery")],
    ["Cabin", inside],
    ["Shade", shade],
    ["Panel", panel],
    ["Covers", covers],
    ["Driving", driving],
  ];
}
