// The cabin from its left side, its front and above, to one scale, with a person beside it.

import { svg } from "./dom.js";
import { figure } from "./units.js";

const WIDTH = 380;
const EDGE = 26;
const PERSON_M = 1.75;
const TILT = Math.PI / 6; // of a set-out array, as the short form's rules have it

export function drawCabin(host, model) {
  if (!model) {
    host.replaceChildren(svg("text", { x: 10, y: 24 }, "Not enough is known for a drawing."));
    host.setAttribute("viewBox", `0 0 ${WIDTH} 40`);
    return;
  }
  const { length, width, height, clearance } = model;
  const setOut = model.setOut ? Math.sqrt(model.setOut) : 0;
  const across = length + width + (setOut ? setOut + 0.4 : 0) + 1.2 + 0.9;
  const scale = Math.min((WIDTH - 2 * EDGE) / across, 90);
  const m = (metres) => metres * scale;
  const ground = EDGE + m(width) + 34 + m(height + clearance);
  const total = ground + 30;
  const [sideX, frontX] = [EDGE, EDGE + m(length + 0.9)];
  const parts = [svg("path", { class: "ground", d: `M4 ${ground}H${WIDTH - 4}` })];
  parts.push(...elevation(model, m, sideX, ground, length, "left"), ...elevation(model, m, frontX, ground, width, "front"));
  parts.push(...plan(model, m, sideX, EDGE));
  if (setOut) {
    const x = frontX + m(width + 0.35);
    const [dx, dy] = [m(setOut * Math.cos(TILT)), m(setOut * Math.sin(TILT))];
    parts.push(svg("path", { class: "array", d: `M${x} ${ground - 3}L${x + dx} ${ground - 3 - dy}` }));
    parts.push(svg("path", { class: "edge", d: `M${x + dx} ${ground - 3 - dy}V${ground}` }));
  }
  parts.push(...person(m, WIDTH - EDGE - m(0.2), ground));
  for (const [x, y, words] of [
    [sideX, ground + 18, `left side, ${figure("length", length)} long`],
    [frontX, ground + 18, `front, ${figure("length", width)}`],
    [sideX + m(length) + 8, EDGE + 12, "from above"],
    [sideX + m(length) + 8, EDGE + 28, `${figure("length", height)} high`],
  ]) parts.push(svg("text", { x, y }, words));
  host.setAttribute("viewBox", `0 0 ${WIDTH} ${Math.round(total)}`);
  const title = svg("title", {}, `The cabin to scale: ${figure("length", length)} long, ${figure("length", width)} wide, ${figure("length", height)} high, ${model.windows.length} windows`);
  host.replaceChildren(title, ...parts);
}

// The skin's paint is as dark as it takes up the sun.
function skin(darkness) {
  const light = Math.round(250 - 190 * Math.min(Math.max((darkness - 0.2) / 0.75, 0), 1));
  return `rgb(${light},${light},${Math.max(0, light - 6)})`;
}

function elevation(model, m, x, ground, across, face) {
  const { height, clearance, wall, lid, base } = model;
  const top = ground - m(height + clearance);
  const parts = [];
  const radius = m(Math.min(clearance, 0.7) / 2);
  const wheels = face === "left" ? [0.24, 0.76] : [0.12, 0.88];
  for (const at of wheels) parts.push(svg("circle", { class: "wheel", cx: x + m(across) * at, cy: ground - radius, r: radius }));
  parts.push(svg("rect", { class: "edge", fill: skin(model.darkness), x, y: top, width: m(across), height: m(height) }));
  parts.push(svg("rect", { class: "inside", x: x + m(wall), y: top + m(lid), width: Math.max(1, m(across - 2 * wall)), height: Math.max(1, m(height - lid - base)) }));
  const shown = model.windows.filter((each) => each.face === face);
  shown.forEach((each, k) => {
    const centre = each.offset === undefined ? (across * (k + 1)) / (shown.length + 1) : across / 2 + each.offset;
    const bottom = each.bottom ?? Math.max(0, (height - each.height) * 0.6);
    parts.push(svg("rect", { class: "glass", x: x + m(centre - each.width / 2), y: ground - m(clearance + bottom + each.height), width: m(each.width), height: m(each.height) }));
  });
  if (model.onRoof) {
    const wide = face === "left" ? Math.min(model.onRoof / model.width / 0.9, across) : model.width * 0.9;
    parts.push(svg("path", { class: "array", d: `M${x + m((across - wide) / 2)} ${top - 4}h${m(wide)}` }));
  }
  for (const each of model.awnings.filter(({ side }) => face === "front" && (side === "left" || side === "right"))) {
    const out = m(each.depth_m ?? 2) * (each.side === "left" ? -1 : 1);
    const from = each.side === "left" ? x : x + m(across);
    parts.push(svg("path", { class: "awning", d: `M${from} ${ground - m(clearance + Math.min(each.height_m ?? height, height))}l${out} ${m(0.2)}` }));
  }
  return parts;
}

function plan(model, m, x, y) {
  const { length, width, wall } = model;
  const parts = [
    svg("rect", { class: "edge", fill: skin(model.darkness), x, y, width: m(length), height: m(width) }),
    svg("rect", { class: "inside", x: x + m(wall), y: y + m(wall), width: Math.max(1, m(length - 2 * wall)), height: Math.max(1, m(width - 2 * wall)) }),
  ];
  if (model.onRoof) {
    const long = Math.min(model.onRoof / (width * 0.9), length * 0.98);
    parts.push(svg("rect", { class: "array-face", x: x + m((length - long) / 2), y: y + m(width * 0.05), width: m(long), height: m(width * 0.9) }));
  }
  for (const each of model.windows.filter(({ face }) => face === "roof")) {
    parts.push(svg("rect", { class: "glass", x: x + m(length / 2 - each.width / 2), y: y + m(width / 2 - each.height / 2), width: m(each.width), height: m(each.height) }));
  }
  parts.push(svg("path", { class: "edge", d: `M${x - 4} ${y + m(width) / 2}l-9 0m4 -4l-4 4l4 4` }));
  return parts;
}

function person(m, x, ground) {
  const tall = m(PERSON_M);
  return [
    svg("circle", { class: "person", cx: x, cy: ground - tall * 0.92, r: tall * 0.075 }),
    svg("path", { class: "person", d: `M${x} ${ground - tall * 0.84}V${ground - tall * 0.45}M${x - tall * 0.12} ${ground - tall * 0.7}H${x + tall * 0.12}M${x} ${ground - tall * 0.45}L${x - tall * 0.09} ${ground}M${x} ${ground - tall * 0.45}L${x + tall * 0.09} ${ground}` }),
  ];
}
