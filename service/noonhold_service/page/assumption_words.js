// An assumption in plain words: what it is about, its value with a unit, and why.

import { neat } from "./units.js";
import { inReadersDegrees } from "./verdict_words.js";

const UNITS = [
  ["_w_per_occupant", " W a person"],
  ["_m3_h_per_occupant", " m³/h a person"],
  ["_m3_h", " m³/h"],
  ["_w_m2k", " W/m²K"],
  ["_w_mk", " W/mK"],
  ["_kj_m2k", " kJ/m²K"],
  ["_j_m2ks05", " J/m²Ks½"],
  ["_w_k", " W/K"],
  ["_per_k", " per K"],
  ["_m_s", " m/s"],
  ["_km_h", " km/h"],
  ["_deg", "°"],
  ["_m2", " m²"],
  ["_wh", " Wh"],
  ["_pa", " Pa"],
  ["_met", " met"],
  ["_clo", " clo"],
  ["_days", " days"],
  ["_c", ""],
  ["_h", " h"],
  ["_w", " W"],
  ["_k", " K"],
  ["_m", " m"],
];
const SHARES = /(fraction|efficiency|absorptance|emittance|transmittance|albedo)$/;
const ABOUT = {
  shell: "cabin", panels: "walls", layers: "layers", windows: "windows", battery: "battery", cooler: "cooler",
  arrays: "solar", controllers: "charge controllers", loads: "loads", charging: "charging", place: "place",
  operation: "use", start: "start", comfort: "comfort", weather: "weather",
};

const plain = (name) => name.replaceAll("_", " ");

function valueWords(value, unit) {
  if (unit === "" && typeof value === "number") return neat("temperature", value);
  if (unit === "" && Array.isArray(value)) return value.map((each) => neat("temperature", each)).join(" to ");
  if (value === true) return "yes";
  if (value === false) return "no";
  if (Array.isArray(value)) return `${value.map(String).join(" to ")}${unit ?? ""}`;
  if (typeof value === "object") {
    if ("from" in value && "to" in value) return `${value.from} to ${value.to}`;
    return Object.entries(value).map(([name, each]) => `${plain(name)} ${each}`).join(", ");
  }
  return typeof value === "string" ? plain(value) : `${value}${unit ?? ""}`;
}

// Its subject and name, its value (empty where there is none), its reason.
export function assumptionWords({ path, value, reason }) {
  const parts = path.split("/").filter((each) => each && each !== "rig" && !/^(\*|\d+)$/.test(each));
  const last = parts.at(-1) ?? "";
  const about = parts.slice(0, -1).map((each) => ABOUT[each] ?? plain(each)).at(-1);
  const [suffix, unit] = UNITS.find(([end]) => last.endsWith(end)) ?? ["", null];
  const bare = plain(suffix ? last.slice(0, -suffix.length) : last);
  const share = SHARES.test(last) && typeof value === "number" && value >= 0 && value <= 1;
  const said =
    value === null || value === undefined ? "" : share ? `${Math.round(value * 1000) / 10} %` : valueWords(value, unit);
  const named = about && !bare.includes(about) ? `${about}, ${bare}` : bare;
  return { name: named, value: said, reason: inReadersDegrees(reason) };
}

// For paper: without the reason where the value says enough.
export function assumptionLine(assumption) {
  const { name, value, reason } = assumptionWords(assumption);
  return value ? `${name}: ${value}` : `${name}: ${reason}`;
}
