// Colours as the style sheet has them, resolved for a canvas, and the second carrier beside each:
// dashes for lines, hatching for areas.

const NAMES = [
  "ink", "soft", "rule", "sheet", "c-outdoors", "c-uncooled", "c-cabin", "c-judged", "c-limit",
  "c-charge", "c-solar", "c-alternator", "c-shore", "c-cooler", "c-loads", "c-heater",
];

export function palette(light = false) {
  const probe = document.createElement("span");
  if (light) probe.style.colorScheme = "only light";
  document.body.append(probe);
  const found = {};
  for (const name of NAMES) {
    probe.style.color = `var(--${name})`;
    found[name.replace("c-", "")] = getComputedStyle(probe).color;
  }
  probe.remove();
  return found;
}

export const DASHES = {
  outdoors: [1.5, 3.5],
  uncooled: [9, 5],
  cabin: [],
  judged: [9, 3, 2, 3],
  limit: [],
  reserve: [3, 3],
  charge: [],
};
export const WIDTHS = { outdoors: 2, uncooled: 1.8, cabin: 2.8, judged: 1.8, limit: 1.2, reserve: 1.6, charge: 2.8 };

const HATCHES = {
  solar: [],
  alternator: [[0, 8, 8, 0]],
  shore: [[0, 4, 8, 4], [4, 0, 4, 8]],
  cooler: [[0, 0, 8, 8]],
  loads: [[0, 4, 8, 4]],
  heater: [[4, 0, 4, 8]],
};

export function hatched(context, name, colours, scale) {
  const side = Math.round(8 * scale);
  const tile = document.createElement("canvas");
  tile.width = side;
  tile.height = side;
  const pen = tile.getContext("2d");
  pen.fillStyle = colours[name];
  pen.fillRect(0, 0, side, side);
  pen.strokeStyle = colours.ink;
  pen.globalAlpha = 0.55;
  pen.lineWidth = Math.max(1, scale * 0.9);
  for (const [x1, y1, x2, y2] of HATCHES[name]) {
    pen.beginPath();
    // Past the edges, so that tiles join.
    const [dx, dy] = [(x2 - x1) / 8, (y2 - y1) / 8];
    pen.moveTo((x1 - dx) * scale, (y1 - dy) * scale);
    pen.lineTo((x2 + dx) * scale, (y2 + dy) * scale);
    pen.stroke();
  }
  return context.createPattern(tile, "repeat");
}

// A little picture of a line or an area, for the key.
export function swatch(name, colours, kind) {
  const canvas = document.createElement("canvas");
  canvas.width = 60;
  canvas.height = 24;
  canvas.style.width = "30px";
  canvas.style.height = "12px";
  canvas.setAttribute("aria-hidden", "true");
  const pen = canvas.getContext("2d");
  if (kind === "area") {
    pen.fillStyle = hatched(pen, name, colours, 2);
    pen.fillRect(0, 0, 60, 24);
  } else if (kind === "band") {
    pen.fillStyle = colours[name];
    pen.globalAlpha = 0.25;
    pen.fillRect(0, 2, 60, 20);
  } else {
    pen.strokeStyle = colours[name] ?? colours.limit;
    pen.lineWidth = WIDTHS[name] * 2;
    pen.setLineDash(DASHES[name].map((each) => each * 2));
    pen.beginPath();
    pen.moveTo(0, 12);
    pen.lineTo(60, 12);
    pen.stroke();
  }
  return canvas;
}
