// Which fields the form offers for a rig: all of a short one, the figures of a whole one.

import { valueAt } from "./paths.js";

const MARKS = ["outer_size", "walls", "battery_kwh", "roof_array_w", "set_out_array_w"];
export const isShort = (rig) => Boolean(rig) && !("shell" in rig) && MARKS.some((each) => each in rig);

// A rig to begin with: usual figures of a small cabin, each in its field to be changed.
export const STARTER = {
  name: "My rig",
  outer_size: { length_m: 2.6, width_m: 1.9, height_m: 1.9 },
  walls: { foam_mm: 50 },
  colour: "white",
  windows: [{ face: "left", width_m: 0.9, height_m: 0.5 }],
  battery_kwh: 2.5,
  roof_array_w: 400,
  set_out_array_w: 200,
  cooler: { cooling_w: 1500, power_w: 600 },
};

const words = (name) => name.replace(/_(mm|m|w|kwh|wh|w_m2k)$/, "").replaceAll("_", " ");
const KINDS = { m: "length", mm: "thickness" };

// A field from its schema: label, path, unit, bounds, usual value.
function field(schema, path, label, more = {}) {
  const { type, minimum, maximum, examples, description } = schema ?? {};
  const unit = schema?.["x-unit"]?.replace("kW h", "kWh").replace("W h", "Wh").replace("W m-2 K-1", "W/m²K");
  return {
    path, label, unit, kind: KINDS[unit], least: minimum, most: maximum, choices: schema?.enum,
    type: schema?.enum ? "choice" : type, usual: type === "number" ? examples?.[0] : undefined,
    help: description?.replace(/ \[.*\]$/, ""), ...more,
  };
}

function buildUp(schemas, rig, name, label) {
  const props = schemas.BuildUp.properties;
  const [kind] = Object.keys(valueAt(rig, [name]) ?? {});
  const choice = {
    path: [name], label, type: "build-up", optional: name !== "walls",
    choices: Object.keys(props).map((each) => ({ value: each, words: words(each), usual: props[each].examples?.[0], help: props[each].description })),
  };
  return kind && props[kind] ? [choice, field(props[kind], [name, kind], kind === "u_value_w_m2k" ? "its U-value" : "thickness")] : [choice];
}

function shortFields(rig, schemas) {
  const top = schemas.ShortRig.properties;
  const size = schemas.OuterSize.properties;
  const cooler = schemas.ShortCooler.properties;
  const window = schemas.ShortWindow.properties;
  const plain = (name, label, more) => field(top[name], [name], label, more);
  const windows = (rig.windows ?? []).map((_, index) => ({
    title: `Window ${index + 1}`, remove: ["windows", index],
    fields: Object.keys(window).map((each) => field(window[each], ["windows", index, each], { face: "in the", kind: "glass" }[each] ?? words(each), { optional: each === "kind" })),
  }));
  return [
    { title: "Outside", fields: [["length_m", "Length"], ["width_m", "Width"], ["height_m", "Height"]].map(([name, label]) => field(size[name], ["outer_size", name], label)) },
    { title: "Walls", fields: [...buildUp(schemas, rig, "walls", "Walls"), ...buildUp(schemas, rig, "roof", "Roof"), ...buildUp(schemas, rig, "floor", "Floor"), plain("colour", "Colour", { optional: true })] },
    ...windows,
    { title: "", fields: [], add: { words: "Add a window", path: ["windows", (rig.windows ?? []).length], value: { face: "right", width_m: 0.9, height_m: 0.5 } } },
    rig.cooler
      ? { title: "Cooler", remove: ["cooler"], fields: [field(cooler.cooling_w, ["cooler", "cooling_w"], "Cooling"), field(cooler.power_w, ["cooler", "power_w"], "Power"), field(cooler.variable_speed, ["cooler", "variable_speed"], "Variable speed")] }
      : { title: "Cooler", fields: [], add: { words: "Add a cooler", path: ["cooler"], value: STARTER.cooler } },
    { title: "Electricity", fields: [plain("battery_kwh", "Battery, usable"), plain("roof_array_w", "Solar on the roof", { optional: true }), plain("set_out_array_w", "Solar set out", { optional: true }), plain("alternator_w", "Alternator", { optional: true }), plain("loads_w", "House loads", { optional: true })] },
  ];
}

const number = (path, label, unit, more = {}) => ({ path, label, unit, kind: KINDS[unit], type: "number", ...more });
const list = (rig, path) => (Array.isArray(valueAt(rig, path)) ? valueAt(rig, path) : []);

function wholeFields(rig) {
  const box = rig.shell?.box;
  const groups = [
    box ? { title: "Inside", fields: ["length_m", "width_m", "height_m"].map((each) => number(["shell", "box", each], words(each), "m")) } : null,
    { title: "Sun taken up by the skin", fields: [
      ...["walls", "roof", "floor"].filter((each) => box?.[each]).map((each) => number(["shell", "box", each, "solar_absorptance"], each, "0 to 1", { optional: true })),
      ...list(rig, ["shell", "panels"]).map((each, k) => number(["shell", "panels", k, "solar_absorptance"], each.name ?? `panel ${k + 1}`, "0 to 1", { optional: true })),
    ] },
    { title: "Windows", fields: list(rig, ["shell", "windows"]).map((each, k) => number(["shell", "windows", k, "area_m2"], each.name ?? `window ${k + 1}`, "m²")) },
    { title: "Cooler", fields: list(rig, ["cooler", "stages"]).flatMap((each, k) => [number(["cooler", "stages", k, "cooling_w"], `${each.name ?? ""} cooling`, "W"), number(["cooler", "stages", k, "power_w"], `${each.name ?? ""} power`, "W")]) },
    { title: "Electricity", fields: [
      number(["battery", "usable_energy_wh"], "Battery, usable", "Wh"),
      ...list(rig, ["arrays"]).map((each, k) => number(["arrays", k, "rated_power_w"], `Solar: ${each.name ?? k + 1}`, "W")),
      ...list(rig, ["controllers"]).map((each, k) => number(["controllers", k, "max_power_w"], `Controller: ${each.name ?? k + 1}`, "W", { optional: true })),
      ...list(rig, ["loads"]).map((each, k) => number(["loads", k, "power_w"], `Load: ${each.name ?? k + 1}`, "W")),
      number(["charging", "alternator_w"], "Alternator", "W", { optional: true }),
    ] },
  ];
  return groups.filter((each) => each?.fields.length);
}

export const fieldsOf = (rig, schemas) => [
  { title: "", fields: [{ path: ["name"], label: "Name", type: "string" }] },
  ...(isShort(rig) ? shortFields(rig, schemas) : wholeFields(rig)),
];
