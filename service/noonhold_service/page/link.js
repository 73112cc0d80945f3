// A link that holds the whole scenario, in the part of the address that is never sent anywhere.

import { CHOICES, DEFAULTS } from "./scenario.js";

const MONTHS = Array.from({ length: 12 }, (_, each) => each + 1);
const CLOCK = /_(from|to)$/;
const TIME = /^([01]\d|2[0-3]):[0-5]\d$/;
const PACKED = "rig_packed";

export async function fragmentOf(scenario) {
  const words = new URLSearchParams();
  for (const [name, value] of Object.entries(scenario)) {
    if (name in DEFAULTS && name !== "rig_text") words.set(name, String(value));
  }
  if (scenario.rig_text) words.set(PACKED, await packed(scenario.rig_text));
  return `#${words}`;
}

// Only what the scenario has, each in its own kind; what cannot be read keeps its default.
export async function scenarioOf(fragment) {
  const words = new URLSearchParams(fragment.replace(/^#/, ""));
  const found = {};
  for (const [name, usual] of Object.entries(DEFAULTS)) {
    const text = words.get(name);
    if (text === null) continue;
    if (typeof usual === "number") {
      const number = text.trim() === "" ? NaN : Number(text);
      if (Number.isFinite(number) && (name !== "month" || MONTHS.includes(number))) found[name] = number;
    } else if (!(name in CHOICES) || CHOICES[name].includes(text)) {
      if (!CLOCK.test(name) || TIME.test(text)) found[name] = text;
    }
  }
  // A link from before the battery could settle means its number.
  if (words.has("charge") && !words.has("battery")) found.battery = "number";
  if (words.has(PACKED)) {
    try {
      found.rig_text = await unpacked(words.get(PACKED));
    } catch {
      // A link that was cut short: the rig is missing, the rest still counts.
    }
  }
  return found;
}

async function packed(text) {
  const bytes = new TextEncoder().encode(text);
  return base64(await through(bytes, new CompressionStream("deflate-raw")));
}

async function unpacked(text) {
  const bytes = Uint8Array.from(
    atob(text.replaceAll("-", "+").replaceAll("_", "/")),
    (each) => each.codePointAt(0),
  );
  return new TextDecoder().decode(await through(bytes, new DecompressionStream("deflate-raw")));
}

async function through(bytes, stream) {
  const flow = new Blob([bytes]).stream().pipeThrough(stream);
  return new Uint8Array(await new Response(flow).arrayBuffer());
}

function base64(bytes) {
  let text = "";
  for (const each of bytes) text += String.fromCharCode(each);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}
