// The two charts, one above the other on the same hours; drawn by uPlot.

import { DASHES, WIDTHS, hatched } from "./palette.js";
import { toReader, unitOf } from "./units.js";

const NARROW_PX = 460;
export const POWERS_IN = [
  ["solar", "solar used", ["solar_used_w"]],
  ["alternator", "alternator", ["alternator_power_w"]],
  ["shore", "shore power", ["shore_power_w"]],
];
export const POWERS_OUT = [
  ["cooler", "cooler", ["cooler_power_w"]],
  ["loads", "house loads and electronics", ["load_power_w", "standing_draw_w"]],
  ["heater", "heater", ["heater_power_w"]],
];

// Room left and right of the hours, the same for both charts and the plan above them.
export const sidesOf = (width, size = 1) =>
  width < NARROW_PX * size ? { axis: 34 * size, label: 14 * size } : { axis: 44 * size, label: 18 * size };

export function lines(view) {
  const { hours, summary } = view;
  const found = [
    ["uncooled", "cabin without the cooler", hours.uncooled_cabin_temperature_c],
    ["outdoors", "outdoors", hours.outdoor_temperature_c],
    ["cabin", "cabin air", hours.cabin_temperature_c],
  ];
  const judged = { operative: "feels like (air and walls)", heat_index: "heat index" };
  if (judged[summary.comfort_measure]) {
    found.push(["judged", judged[summary.comfort_measure], hours.comfort_measure]);
  }
  if (summary.comfort_measure !== "pmv") {
    const limit = view.inWindow.map((inside) => (inside ? summary.comfort_limit : null));
    found.push(["limit", "comfort limit", limit]);
  }
  return found;
}

export const summed = (hours, names) =>
  hours[names[0]].map((_, row) => names.reduce((sum, name) => sum + (hours[name][row] ?? 0), 0));

export const inUse = (hours, powers) =>
  powers.filter(([, , names]) => summed(hours, names).some((each) => each > 0.05));

export function temperatures(host, view, options) {
  const { colours, size = 1, width } = options;
  const sides = sidesOf(width, size);
  const shown = lines(view);
  const toShown = (each) => (each === null ? null : toReader("temperature", each));
  // Means of the hour stand in its middle; the limit is a step from hour to hour.
  const x = [];
  for (let row = 0; row < view.count; row += 1) x.push(row, row + 0.5, row + 1);
  const spread = (column, step) =>
    column.flatMap((each) => (step ? [toShown(each), toShown(each), toShown(each)] : [null, toShown(each), null]));
  const data = [x];
  const series = [{}];
  const bands = [];
  if (view.bounds) {
    const band = view.bounds.operative_temperature_c;
    data.push(spread(band.p90, false), spread(band.p10, false));
    for (let edge = 0; edge < 2; edge += 1) {
      series.push({ scale: "t", stroke: "transparent", width: 0, spanGaps: true, points: { show: false } });
    }
    bands.push({ series: [1, 2], fill: faded(colours.judged) });
  }
  for (const [name, , column] of shown) {
    const step = name === "limit";
    data.push(spread(column, step));
    series.push({
      scale: "t",
      stroke: colours[name],
      width: WIDTHS[name] * size,
      dash: DASHES[name].map((each) => each * size),
      spanGaps: !step,
      points: { show: false },
    });
  }
  const all = data.slice(1).flat().filter((each) => each !== null);
  const room = (Math.max(...all) - Math.min(...all)) * 0.06 + 0.5;
  return chart(host, view, options, data, {
    series,
    bands,
    scales: { t: { range: [Math.min(...all) - room, Math.max(...all) + room] } },
    axes: [axis(options, { scale: "t", label: unitOf("temperature") })],
    padding: [10 * size, sides.axis + sides.label, 0, 0],
  });
}

export function charge(host, view, options) {
  const { colours, size = 1 } = options;
  const { hours } = view;
  // Powers are means over the hour, steps; the charge stands at its end.
  const x = Array.from({ length: view.count + 1 }, (_, row) => row);
  const stepped = uPlot.paths.stepped({ align: 1 });
  const data = [x];
  const series = [{}];
  const pile = (powers, sign) => {
    const areas = [];
    let sums = new Array(view.count).fill(0);
    for (const [name, , names] of powers) {
      const column = summed(hours, names);
      sums = sums.map((each, row) => each + sign * column[row]);
      areas.unshift([name, [...sums, sums.at(-1)]]);
    }
    return areas;
  };
  const areas = [...pile(inUse(hours, POWERS_IN), 1), ...pile(inUse(hours, POWERS_OUT), -1)];
  for (const [name, column] of areas) {
    data.push(column);
    series.push({
      scale: "w",
      paths: stepped,
      stroke: colours.ink,
      width: 0.7 * size,
      fill: (u) => hatched(u.ctx, name, colours, devicePixelRatio * size),
      fillTo: 0,
      points: { show: false },
    });
  }
  const peak = Math.max(60, ...areas.flatMap(([, column]) => column));
  const deep = Math.min(-60, ...areas.flatMap(([, column]) => column));
  const bands = [];
  const share = (column) => [null, ...column.map((each) => (each === null ? null : each * 100))];
  if (view.bounds) {
    const band = view.bounds.state_of_charge;
    data.push(share(band.p90), share(band.p10));
    for (let edge = 0; edge < 2; edge += 1) {
      series.push({ scale: "c", stroke: "transparent", width: 0, points: { show: false } });
    }
    bands.push({ series: [series.length - 2, series.length - 1], fill: faded(colours.charge) });
  }
  const line = share(hours.state_of_charge);
  line[0] = view.summary.charge_at_start * 100;
  // A pale line under the line keeps it apart from hatching.
  for (const [stroke, width] of [[colours.sheet, 6], [colours.charge, WIDTHS.charge]]) {
    data.push(line);
    series.push({ scale: "c", stroke, width: width * size, points: { show: false } });
  }
  return chart(host, view, options, data, {
    series,
    bands,
    scales: { w: { range: [deep * 1.08, peak * 1.08] }, c: { range: [0, 100] } },
    axes: [
      axis(options, {
        scale: "w",
        label: "out ←  power, W  → in",
        values: (_, ticks) => ticks.map((each) => String(Math.abs(each))),
      }),
      axis(options, { scale: "c", side: 1, label: "charge, %", grid: { show: false } }),
    ],
    padding: [10 * size, 0, 0, 0],
    labels: true,
  });
}

function chart(host, view, options, data, parts) {
  const { width, height, size = 1, onHour, sync } = options;
  const drawn = {
    width,
    height,
    padding: parts.padding,
    legend: { show: false },
    cursor: {
      show: Boolean(onHour),
      y: false,
      points: { show: false },
      drag: { x: false, y: false, setScale: false },
      sync: sync ? { key: sync.key, setSeries: false, scales: ["x", null] } : undefined,
    },
    scales: { x: { time: false, range: [0, view.count] }, ...parts.scales },
    bands: parts.bands,
    series: parts.series,
    axes: [hoursAxis(view, options, parts.labels), ...parts.axes],
    hooks: {
      drawClear: [(u) => window_(u, view, options)],
      setCursor: onHour
        ? [(u) => {
            const { left } = u.cursor;
            // Only a pointer moves the hour; the cursor of a chart just made has none.
            if (left < 0 || !u.cursor.event) return;
            const row = Math.floor(u.posToVal(left, "x"));
            onHour(Math.min(Math.max(row, 0), view.count - 1));
          }]
        : [],
    },
    pxAlign: size === 1,
  };
  return new uPlot(drawn, data, host);
}

function axis({ colours, width, size = 1 }, more) {
  const sides = sidesOf(width, size);
  return {
    stroke: colours.ink,
    font: `${12 * size}px ${bodyFont()}`,
    labelFont: `${12 * size}px ${bodyFont()}`,
    size: sides.axis,
    labelSize: sides.label,
    labelGap: 0,
    gap: 4 * size,
    space: 28 * size,
    side: 3,
    ticks: { show: false },
    grid: { stroke: colours.rule, width: size },
    ...more,
  };
}

function hoursAxis(view, { colours, size = 1 }, labelled) {
  return {
    stroke: colours.ink,
    font: `${12 * size}px ${bodyFont()}`,
    size: (labelled ? 26 : 8) * size,
    gap: 4 * size,
    ticks: { show: true, size: 4 * size, stroke: colours.rule, width: size },
    grid: { stroke: colours.rule, width: size },
    splits: (u) => view.ticks(u.bbox.width / devicePixelRatio / size),
    values: (_, ticks) => ticks.map((each) => (labelled ? view.tickLabel(each) : "")),
  };
}

// The hours in which the cooler may run lie on a paler ground.
function window_(u, view, { colours }) {
  const { ctx, bbox } = u;
  ctx.save();
  ctx.fillStyle = colours.soft;
  ctx.globalAlpha = 0.09;
  for (const [from, to] of runs(view.inWindow)) {
    const [a, b] = [u.valToPos(from, "x", true), u.valToPos(to, "x", true)];
    ctx.fillRect(a, bbox.top, b - a, bbox.height);
  }
  ctx.restore();
}

export function runs(flags) {
  const found = [];
  flags.forEach((flag, row) => {
    if (!flag) return;
    if (found.length && found.at(-1)[1] === row) found.at(-1)[1] = row + 1;
    else found.push([row, row + 1]);
  });
  return found;
}

const faded = (colour) => colour.replace("rgb(", "rgba(").replace(")", ", 0.25)");
const bodyFont = () => getComputedStyle(document.documentElement).fontFamily;
