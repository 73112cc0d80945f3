// The scenario: one flat record of what the question says, and the request document it stands for.

export const DEFAULTS = Object.freeze({
  rig: "",
  rig_text: "",
  where: "station",
  station: "",
  latitude: 40,
  longitude: -105,
  elevation_m: 1600,
  timezone: "",
  heading_deg: 0,
  day: "typical",
  month: 7,
  day_of_month: 15,
  date: "2026-07-21",
  high_c: 38,
  low_c: 22,
  dew_point_c: 10,
  cloud: 0,
  cool_from: "09:00",
  cool_to: "20:00",
  set_point_c: 24,
  policy: "low_then_high",
  measure: "operative",
  limit_c: 27,
  limit_vote: 0.5,
  people: 1,
  battery: "settled",
  charge: 0.9,
  inside: "settled",
  inside_c: 37,
  shade: "none",
  shade_from: "10:00",
  shade_to: "18:00",
  shade_depth: 0.8,
  panel: "out",
  panel_from: "08:00",
  panel_to: "18:00",
  covers: "all",
  covers_from: "09:00",
  covers_to: "20:00",
  driving: "no",
  drive_from: "07:00",
  drive_to: "09:00",
  drive_speed_km_h: 80,
  plan: "",
});

// What a plan of the day says in their stead: a change of one of them ends it.
const PLANNED = /^(cool_|set_point|policy|people|covers|panel|driv)/;
export const endsPlan = (name) => PLANNED.test(name);

// What the question lets one choose from.
export const CHOICES = Object.freeze({
  where: ["station", "point"],
  day: ["typical", "date", "week", "like"],
  policy: ["low_then_high", "low_only", "high_only", "fan_only", "off"],
  measure: ["operative", "air", "heat_index", "pmv"],
  battery: ["settled", "number"],
  inside: ["settled", "outdoor", "number"],
  shade: ["none", "cabin", "all", "arrays"],
  panel: ["out", "hours", "in"],
  covers: ["open", "all", "inside", "outside"],
  driving: ["no", "off", "on"],
});

const SETTLED_DAYS = 3;
const WEEK_DAYS = 7;
// Leaves and cloth let scattered light through where they stop the sun: common practice, no source.
const DIFFUSE_OF_BEAM = 0.375;

// What day it is, where it needs a station's year to tell; null where the year is not known yet.
export function firstDay(scenario, climate) {
  if (scenario.day === "like") return scenario.date;
  if (scenario.day === "date") return dayOfYear(scenario);
  if (!climate) return null;
  return scenario.day === "week"
    ? climate.hottest_week.first_day
    : climate.months[scenario.month - 1].typical_day;
}

// A month's last day stands for those that it does not have; a typical year has no 29 February.
function dayOfYear({ month, day_of_month: day }) {
  const last = new Date(Date.UTC(2025, month, 0)).getUTCDate();
  const sound = Math.min(Math.max(1, Math.round(day)), last);
  return `${String(month).padStart(2, "0")}-${String(sound).padStart(2, "0")}`;
}

// The request for POST /v1/projections. `site` is where the rig stands and whose year it is.
export function documentOf(scenario, site, climate, rig) {
  return {
    rig,
    place: placeOf(scenario, site),
    weather: weatherOf(scenario, site, climate),
    operation: operationOf(scenario),
    start: startOf(scenario),
    comfort: {
      measure: scenario.measure,
      limit: scenario.measure === "pmv" ? scenario.limit_vote : scenario.limit_c,
    },
  };
}

function placeOf(scenario, site) {
  const place = {
    latitude: site.latitude,
    longitude: site.longitude,
    elevation_m: site.elevation_m,
    heading_deg: scenario.heading_deg,
  };
  if (scenario.timezone) place.timezone = scenario.timezone;
  if (scenario.shade !== "none") {
    place.shade = [
      {
        ...hours(scenario.shade_from, scenario.shade_to),
        beam_blocked: scenario.shade_depth,
        diffuse_blocked: Math.round(scenario.shade_depth * DIFFUSE_OF_BEAM * 1e4) / 1e4,
        applies_to: scenario.shade === "all" ? ["cabin", "arrays"] : [scenario.shade],
      },
    ];
  }
  return place;
}

function weatherOf(scenario, site, climate) {
  if (scenario.day === "like") {
    return {
      hot_day: {
        date: scenario.date,
        high_c: scenario.high_c,
        low_c: scenario.low_c,
        dew_point_c: scenario.dew_point_c,
        cloud_fraction: scenario.cloud,
      },
    };
  }
  const days = scenario.day === "week" ? WEEK_DAYS : 1;
  const year = { from: firstDay(scenario, climate), days };
  // At coordinates the service finds the station, and refuses where none is near enough.
  if (scenario.where === "station") year.station = site.station;
  return { typical_year: year };
}

// The operation of a plan that was taken; null where there is none, or none that can be read.
function plannedOf(scenario) {
  try {
    return scenario.plan ? JSON.parse(scenario.plan) : null;
  } catch {
    return null;
  }
}

function operationOf(scenario) {
  const planned = plannedOf(scenario);
  if (planned) return planned;
  const window = hours(scenario.cool_from, scenario.cool_to);
  const spans = [];
  if (scenario.people > 0) spans.push({ ...window, occupants: scenario.people });
  if (scenario.covers !== "open") {
    spans.push({ ...hours(scenario.covers_from, scenario.covers_to), covers: scenario.covers });
  }
  if (scenario.panel !== "out") spans.push({ from: "00:00", to: "24:00", deployed: false });
  if (scenario.panel === "hours") {
    spans.push({ ...hours(scenario.panel_from, scenario.panel_to), deployed: true });
  }
  if (scenario.driving !== "no") {
    const driving = hours(scenario.drive_from, scenario.drive_to);
    driving.driving_speed_km_h = scenario.drive_speed_km_h;
    if (scenario.driving === "off") driving.policy = "off";
    spans.push(driving);
  }
  const operation = { set_point_c: scenario.set_point_c, policy: scenario.policy };
  operation.cooling_window = window;
  if (spans.length) operation.spans = spans;
  return operation;
}

function startOf(scenario) {
  // A battery settles only with its cabin.
  const settled = scenario.battery === "settled" && scenario.inside === "settled";
  const start = { state_of_charge: settled ? "settled" : scenario.charge };
  start.cabin_temperature_c = scenario.inside === "number" ? scenario.inside_c : scenario.inside;
  if (scenario.inside === "settled") start.spin_up_days = SETTLED_DAYS;
  return start;
}

// A clock face has no 24:00, and the same hour twice means around the clock.
export function hours(from, to) {
  if (from === to) return { from: "00:00", to: "24:00" };
  return { from, to: to === "00:00" ? "24:00" : to };
}

// The JSON merge patch (RFC 7396) that makes `other` of `base`; undefined where they are alike.
export function mergePatch(base, other) {
  if (!isObject(base) || !isObject(other)) {
    return JSON.stringify(base) === JSON.stringify(other) ? undefined : other;
  }
  const patch = {};
  for (const name of Object.keys(base)) if (!(name in other)) patch[name] = null;
  for (const [name, value] of Object.entries(other)) {
    const part = name in base ? mergePatch(base[name], value) : value;
    if (part !== undefined) patch[name] = part;
  }
  return Object.keys(patch).length ? patch : undefined;
}

const isObject = (value) => value !== null && typeof value === "object" && !Array.isArray(value);

// Which field of the question a fault belongs to, by the pointer that the service gave.
const FIELDS = [
  ["/place/latitude", "latitude"],
  ["/place/longitude", "longitude"],
  ["/place/elevation_m", "elevation_m"],
  ["/place/timezone", "timezone"],
  ["/place/heading_deg", "heading_deg"],
  ["/place/shade/0/from", "shade_from"],
  ["/place/shade/0/to", "shade_to"],
  ["/place/shade", "shade_depth"],
  ["/weather/hot_day/date", "date"],
  ["/weather/hot_day/high_c", "high_c"],
  ["/weather/hot_day/low_c", "low_c"],
  ["/weather/hot_day/dew_point_c", "dew_point_c"],
  ["/weather/hot_day/cloud_fraction", "cloud"],
  ["/weather/typical_year/station", "station"],
  ["/operation/set_point_c", "set_point_c"],
  ["/operation/cooling_window", "cool_to"],
  ["/start/state_of_charge", "charge"],
  ["/start/cabin_temperature_c", "inside_c"],
  ["/comfort/limit", "limit"],
];

export function fieldOf(pointer, request, scenario) {
  const span = /^\/operation\/spans\/(\d+)\/(\w+)/.exec(pointer);
  if (span) {
    const said = request?.operation?.spans?.[span[1]] ?? {};
    if ("occupants" in said) return "people";
    if ("driving_speed_km_h" in said) {
      return { from: "drive_from", to: "drive_to" }[span[2]] ?? "drive_speed_km_h";
    }
    return "covers" in said ? "covers" : "panel";
  }
  const found = FIELDS.find(([start]) => pointer === start || pointer.startsWith(`${start}/`));
  if (!found) return null;
  if (found[1] === "limit") return scenario.measure === "pmv" ? "limit_vote" : "limit_c";
  return found[1];
}
