// A hot day proposed from nothing but latitude and season, for places far from every station.

import { DEFAULTS } from "./scenario.js";

const NORTHERN = 171; // day of the year of the June solstice, from 0
const SOUTHERN = 354; // and of December's
const AFTER_D = 25; // the hottest days come three to four weeks later
const TROPICS_DEG = 12; // below it no time of year is much hotter than another
const DAY_MS = 86_400_000;

// Day of the year of the hottest time, or of today near the equator.
function hottestDay(latitude, today) {
  const begin = Date.UTC(today.getFullYear(), 0, 1);
  if (Math.abs(latitude) < TROPICS_DEG) {
    return new Date(Date.UTC(today.getFullYear(), today.getMonth(), 15));
  }
  const solstice = latitude > 0 ? NORTHERN : SOUTHERN;
  return new Date(begin + ((solstice + AFTER_D) % 365) * DAY_MS);
}

// High, low and dew point by distance from the equator. A rough proposal by hand for a hot day of
// the land (no source): hottest and driest in the desert belts, cooler towards the poles.
const BELTS = [
  [0, 34, 25, 23],
  [15, 38, 26, 20],
  [28, 42, 27, 10],
  [38, 38, 22, 13],
  [48, 33, 18, 15],
  [60, 27, 14, 12],
  [72, 16, 6, 6],
  [90, 2, -3, -3],
];

function between(latitude, column) {
  const at = Math.min(Math.abs(latitude), 90);
  const next = Math.max(1, BELTS.findIndex(([degrees]) => degrees >= at));
  const [a, b] = [BELTS[next - 1], BELTS[next]];
  return Math.round(a[column] + ((b[column] - a[column]) * (at - a[0])) / (b[0] - a[0]));
}

export function proposedDay(latitude, today = new Date()) {
  return {
    date: hottestDay(latitude, today).toISOString().slice(0, 10),
    high_c: between(latitude, 1),
    low_c: between(latitude, 2),
    dew_point_c: between(latitude, 3),
  };
}

// Whether the fields still say what was proposed for the place.
export function isProposed(scenario, today = new Date()) {
  return Object.entries(proposedDay(scenario.latitude, today)).every(([name, value]) => scenario[name] === value);
}

// The station's hottest day, as long as nobody entered one; null otherwise.
export function likelyDay(scenario, climate) {
  const untouched = ["high_c", "low_c", "dew_point_c", "date"].every((each) => scenario[each] === DEFAULTS[each]);
  if (!climate || !untouched) return null;
  const day = climate.hottest_day;
  const tenth = (value) => Math.round(value * 10) / 10;
  return {
    date: `${new Date().getFullYear()}-${day.first_day}`,
    high_c: tenth(day.high_c),
    low_c: tenth(day.low_c),
    dew_point_c: tenth(Math.min(day.mean_dew_point_c, day.high_c)),
  };
}
