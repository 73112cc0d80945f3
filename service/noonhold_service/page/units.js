// Units: state and documents are SI; only what a person reads or types is converted.

const KEY = "noonhold.reading";
const APART = "\u00a0"; // a number and its unit stay on one line
const FEET = 0.3048;
const INCH_MM = 25.4;
const MILE_KM = 1.609344;

const KINDS = {
  temperature: {
    metric: { unit: "°C", out: (v) => v, in: (v) => v, digits: 1 },
    us: { unit: "°F", out: (v) => v * 1.8 + 32, in: (v) => (v - 32) / 1.8, digits: 1 },
  },
  difference: {
    metric: { unit: "°C", out: (v) => v, in: (v) => v, digits: 1 },
    us: { unit: "°F", out: (v) => v * 1.8, in: (v) => v / 1.8, digits: 1 },
  },
  height: {
    metric: { unit: "m", out: (v) => v, in: (v) => v, digits: 0 },
    us: { unit: "ft", out: (v) => v / FEET, in: (v) => v * FEET, digits: 0 },
  },
  length: {
    metric: { unit: "m", out: (v) => v, in: (v) => v, digits: 2 },
    us: { unit: "ft", out: (v) => v / FEET, in: (v) => v * FEET, digits: 1 },
  },
  thickness: {
    metric: { unit: "mm", out: (v) => v, in: (v) => v, digits: 0 },
    us: { unit: "in", out: (v) => v / INCH_MM, in: (v) => v * INCH_MM, digits: 2 },
  },
  distance: {
    metric: { unit: "km", out: (v) => v, in: (v) => v, digits: 0 },
    us: { unit: "mi", out: (v) => v / MILE_KM, in: (v) => v * MILE_KM, digits: 0 },
  },
  speed: {
    metric: { unit: "km/h", out: (v) => v, in: (v) => v, digits: 0 },
    us: { unit: "mph", out: (v) => v / MILE_KM, in: (v) => v * MILE_KM, digits: 0 },
  },
  share: {
    metric: { unit: "%", out: (v) => v * 100, in: (v) => v / 100, digits: 0 },
    us: { unit: "%", out: (v) => v * 100, in: (v) => v / 100, digits: 0 },
  },
  vote: {
    metric: { unit: "votes", out: (v) => v, in: (v) => v, digits: 2 },
    us: { unit: "votes", out: (v) => v, in: (v) => v, digits: 2 },
  },
};
const FINE = { height: 1, speed: 10 };
const OF_TEMPERATURE = new Set(["temperature", "difference"]);

// How this reader likes to read; remembered where the browser allows it.
export const reading = { temperature: "C", measures: "metric", colours: "auto", ...recalled() };

function recalled() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY) ?? "{}");
    const allowed = {
      temperature: ["C", "F"],
      measures: ["metric", "us"],
      colours: ["auto", "light", "dark"],
    };
    return Object.fromEntries(
      Object.entries(kept ?? {}).filter(([name, value]) => allowed[name]?.includes(value)),
    );
  } catch {
    return {};
  }
}

export function remember(changes) {
  Object.assign(reading, changes);
  try {
    localStorage.setItem(KEY, JSON.stringify(reading));
  } catch {
    // A browser that keeps nothing still reads in these units until it is closed.
  }
}

function scale(kind) {
  const us = OF_TEMPERATURE.has(kind) ? reading.temperature === "F" : reading.measures === "us";
  return KINDS[kind][us ? "us" : "metric"];
}

export const unitOf = (kind) => scale(kind).unit;
export const toReader = (kind, value) => scale(kind).out(value);
// Rounded, so that 75 °F and back is 75 °F, and a document is not full of thirds.
export const fromReader = (kind, value) => Math.round(scale(kind).in(value) * 1e6) / 1e6;

export function figure(kind, value, digits = scale(kind).digits) {
  if (value === null || value === undefined) return "–";
  return `${bare(kind, value, digits)}${APART}${unitOf(kind)}`;
}

// What is not all is not printed as 100 %, what is not nothing not as 0 %.
function wholeShare(value) {
  const percent = value * 100;
  if (value < 1 - 1e-9 && percent >= 99.5) return rounded(Math.min(percent, 99.9), 1);
  if (value > 1e-9 && percent < 0.5) return rounded(Math.max(percent, 0.1), 1);
  return rounded(percent, 0);
}

// Without a decimal where it would be 0: 27 °C, 80.6 °F.
export function neat(kind, value) {
  const shown = toReader(kind, value);
  return figure(kind, value, Math.abs(shown - Math.round(shown)) < 0.05 ? 0 : 1);
}

export function bare(kind, value, digits = scale(kind).digits) {
  if (value === null || value === undefined) return "–";
  if (kind === "share" && digits === 0) return wholeShare(value);
  return rounded(toReader(kind, value), digits);
}

export function forField(kind, value) {
  const shown = kind ? toReader(kind, value) : value;
  const fine = FINE[kind] ?? 100;
  return String(Math.round(shown * fine) / fine);
}

export function energy(wh) {
  if (wh === null || wh === undefined) return "–";
  const digits = Math.abs(wh) < 9950 ? 1 : 0;
  return Math.abs(wh) < 95 ? `${rounded(wh, 0)}${APART}Wh` : `${rounded(wh / 1000, digits)}${APART}kWh`;
}

export const power = (w) => (w === null || w === undefined ? "–" : `${rounded(w, 0)}${APART}W`);

function rounded(value, digits) {
  const text = value.toFixed(digits);
  return (Number(text) === 0 ? text.replace("-", "") : text).replace("-", "−");
}
