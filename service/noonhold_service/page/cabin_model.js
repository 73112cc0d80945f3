// What a drawing needs of a rig's document: outer size, walls, windows by face, arrays, skin.

import { isShort } from "./rig_fields.js";

const SKIN_MM = { foam_mm: 3, plywood_xps_mm: 12, aluminium_eps_mm: 4, steel_wool_mm: 4, steel_rubber_foam_mm: 4 };
const DARKNESS = { white: 0.25, cream: 0.35, silver: 0.45, light_grey: 0.45, sand: 0.5, yellow: 0.5, mid: 0.6, red: 0.65, green: 0.7, blue: 0.75, dark_grey: 0.85, black: 0.95 };
const W_PER_M2 = 200; // of a module, as the short form's rules take it
const WIDER = 1.6; // a window whose shape is not given is drawn this much wider than high
const FACES = ["front", "right", "rear", "left"];

function thickness(buildUp) {
  const [[name, value] = []] = Object.entries(buildUp ?? {});
  if (!name || typeof value !== "number" || name === "u_value_w_m2k") return 0.05;
  return (value + (SKIN_MM[name] ?? 0)) / 1000;
}

const layered = (part) => (part?.layers ?? []).reduce((sum, each) => sum + (each?.thickness_m ?? 0), 0) || 0.05;

function faceOf(part) {
  const named = part?.face ?? (Array.isArray(part?.faces) ? part.faces[0] : part?.faces);
  if (named) return named;
  const tilt = part?.tilt_deg ?? 90;
  if (tilt < 45) return "roof";
  if (tilt > 135) return "floor";
  return FACES[Math.round((part.azimuth_from_front_deg ?? 0) / 90) % 4];
}

function windowOf(part) {
  const { extent } = part;
  if (extent?.width_m && extent?.height_m) return { width: extent.width_m, height: extent.height_m, bottom: extent.bottom_m, offset: extent.offset_m };
  if (part.width_m && part.height_m) return { width: part.width_m, height: part.height_m };
  const width = Math.sqrt((part.area_m2 || 0.1) * WIDER);
  return { width, height: width / WIDER };
}

// Length, width and height of a box whose walls and roof have these areas.
function sizeOf(shell) {
  const { box } = shell ?? {};
  if (box?.length_m && box?.width_m && box?.height_m) {
    const wall = layered(box.walls);
    return { length: box.length_m + 2 * wall, width: box.width_m + 2 * wall, height: box.height_m + layered(box.roof) + layered(box.floor) };
  }
  const area = {};
  for (const each of shell?.panels ?? []) if (each?.area_m2) area[faceOf(each)] = (area[faceOf(each)] ?? 0) + each.area_m2;
  for (const each of shell?.windows ?? []) if (each?.area_m2) area[faceOf(each)] = (area[faceOf(each)] ?? 0) + each.area_m2;
  const [end, side, lid] = [area.front ?? area.rear, area.left ?? area.right, area.roof ?? area.floor];
  if (!end || !side || !lid) return null;
  return { length: Math.sqrt((side * lid) / end), width: Math.sqrt((end * lid) / side), height: Math.sqrt((end * side) / lid) };
}

// Null where the document does not say enough for a drawing.
export function cabinModel(rig) {
  const windows = (list) => (Array.isArray(list) ? list : []).filter(Boolean).map((each) => ({ face: faceOf(each), ...windowOf(each) }));
  if (isShort(rig)) {
    const size = rig.outer_size ?? {};
    if (!(size.length_m > 0 && size.width_m > 0 && size.height_m > 0)) return null;
    return {
      length: size.length_m, width: size.width_m, height: size.height_m,
      wall: thickness(rig.walls), lid: thickness(rig.roof ?? rig.walls), base: thickness(rig.floor ?? rig.walls),
      windows: windows(rig.windows), darkness: DARKNESS[rig.colour] ?? DARKNESS.mid,
      onRoof: (rig.roof_array_w || 0) / W_PER_M2, setOut: (rig.set_out_array_w || 0) / W_PER_M2, awnings: [], clearance: 0.6,
    };
  }
  const size = sizeOf(rig?.shell);
  if (!size) return null;
  const { box, panels = [] } = rig.shell;
  const panel = (face) => panels.find((each) => faceOf(each) === face);
  const arrays = Array.isArray(rig.arrays) ? rig.arrays : [];
  const area = (folding) => arrays.filter((each) => Boolean(each?.folding) === folding).reduce((sum, each) => sum + (each?.area_m2 ?? (each?.rated_power_w || 0) / W_PER_M2), 0);
  return {
    ...size, wall: layered(box?.walls ?? panel("left")), lid: layered(box?.roof ?? panel("roof")), base: layered(box?.floor ?? panel("floor")),
    windows: windows(rig.shell.windows), darkness: box?.walls?.solar_absorptance ?? panel("left")?.solar_absorptance ?? DARKNESS.mid,
    onRoof: area(false), setOut: area(true), awnings: Array.isArray(rig.awnings) ? rig.awnings : [], clearance: rig.shell.ground_clearance_m ?? 0.6,
  };
}
