// What would mend it: the service's remedies, and how each is entered where it is a field.

import { inReadersDegrees } from "./verdict_words.js";
import { hourAsClock } from "./view.js";

// What began with the cooling goes on beginning with it.
const WITH_COOLING = ["covers_from", "panel_from", "drive_from"];
const LOW_ONLY = "low_only";

const FIELDS = {
  set_point: ({ value }) => (typeof value === "number" ? { set_point_c: value } : null),
  cooling_start({ value }, scenario) {
    if (typeof value !== "number") return null;
    const from = hourAsClock(value);
    const along = WITH_COOLING.filter((name) => scenario[name] === scenario.cool_from);
    return { cool_from: from, ...Object.fromEntries(along.map((name) => [name, from])) };
  },
  policy(_, scenario, cause) {
    const sparing = cause?.startsWith("energy") || ["low_then_high", "high_only"].includes(scenario.policy);
    return { policy: sparing && scenario.policy !== LOW_ONLY ? LOW_ONLY : "low_then_high" };
  },
  covers: () => ({ covers: "all", covers_from: "00:00", covers_to: "00:00" }),
  set_out_array: () => ({ panel: "out" }),
  shade: (_, { shade }) =>
    shade === "none" ? { shade: "cabin", shade_from: "09:00", shade_to: "18:00", shade_depth: 0.8 } : null,
};

// The change of the scenario that a remedy means; null where only another rig would do.
export function changeOf(remedy, scenario, cause) {
  return FIELDS[remedy.lever]?.(remedy, scenario, cause) ?? null;
}

const SIZES = { battery: "battery_wh", arrays: "array_w", cooler: "cooling_w" };

// The size of the rig that a remedy means, null where it is none.
export const sizeOf = ({ lever, value }) => (SIZES[lever] && typeof value === "number" ? { [SIZES[lever]]: value } : null);

// Of a day that holds, but not day after day, those with which it does; their sentences say so.
export function remediesOf({ remedies, summary }) {
  const found = remedies ?? summary.remedies;
  return found?.length || !summary.lasting_remedies?.length ? (found ?? null) : summary.lasting_remedies;
}

export const remedyWords = ({ sentence }) => inReadersDegrees(sentence);
