// The few figures that the page says of a rig, and a rig of another size; of either form.

import { isShort } from "./rig_fields.js";

const list = (value) => (Array.isArray(value) ? value.filter(Boolean) : []);
const sum = (values) => values.reduce((all, each) => all + (Number(each) || 0), 0);

export function rigFacts(rig) {
  if (isShort(rig)) {
    return {
      stages: rig.cooler ? (rig.cooler.variable_speed ? 2 : 1) : 0,
      cooling_w: Number(rig.cooler?.cooling_w) || 0,
      battery_wh: (Number(rig.battery_kwh) || 0) * 1000,
      solar_w: sum([rig.roof_array_w, rig.set_out_array_w]),
      folding: rig.set_out_array_w > 0,
      covers: list(rig.windows).length > 0,
      alternator_w: Number(rig.alternator_w) || 0,
    };
  }
  const stages = list(rig?.cooler?.stages);
  const arrays = list(rig?.arrays);
  return {
    stages: stages.length,
    cooling_w: Math.max(0, ...stages.map((each) => Number(each.cooling_w) || 0)),
    battery_wh: Number(rig?.battery?.usable_energy_wh) || 0,
    solar_w: sum(arrays.map((each) => each.rated_power_w)),
    folding: arrays.some((each) => each.folding),
    covers: list(rig?.shell?.windows).some((each) => each.covers?.length),
    alternator_w: Number(rig?.charging?.alternator_w) || 0,
  };
}

const scaled = (part, names, factor) =>
  Object.fromEntries(Object.entries(part).map(([name, value]) => [name, names.includes(name) && typeof value === "number" ? round(value * factor) : value]));
const round = (value) => Math.round(value * 1000) / 1000;

// The rig with another battery, arrays or cooler: limits grow along, as in the service's studies.
export function withSize(rig, { battery_wh, array_w, cooling_w, cooler_factor = 1 }) {
  const { battery_wh: held, solar_w, cooling_w: rated } = rigFacts(rig);
  const more = { battery: battery_wh && held ? battery_wh / held : 1, array: array_w && solar_w ? array_w / solar_w : 1, cooler: cooling_w && rated ? cooling_w / rated : cooler_factor };
  if (isShort(rig)) {
    return {
      ...scaled(scaled(rig, ["battery_kwh"], more.battery), ["roof_array_w", "set_out_array_w"], more.array),
      ...(rig.cooler ? { cooler: scaled(rig.cooler, ["cooling_w", "power_w"], more.cooler) } : {}),
    };
  }
  const sized = { ...rig };
  if (rig.battery) sized.battery = scaled(rig.battery, ["usable_energy_wh", "max_charge_w", "max_discharge_w"], more.battery);
  if (rig.arrays) sized.arrays = rig.arrays.map((each) => scaled(each, ["rated_power_w"], more.array));
  if (rig.controllers) sized.controllers = rig.controllers.map((each) => scaled(each, ["max_power_w"], more.array));
  if (rig.cooler?.stages && more.cooler !== 1) {
    const { cooler } = rig;
    sized.cooler = { ...scaled(cooler, ["airflow_m3_h", "fan_power_w"], more.cooler), stages: cooler.stages.map((each) => scaled(each, ["cooling_w", "power_w"], more.cooler)) };
  }
  return sized;
}
