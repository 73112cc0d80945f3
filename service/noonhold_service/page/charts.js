// The charts, one below the other on the same hours, each with one scale; drawn by uPlot.

import { axis, chart, faded, sidesOf } from "./chart_frame.js";
import { DASHES, WIDTHS, hatched } from "./palette.js";
import { bare, figure, power, toReader, unitOf } from "./units.js";

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
    said: (row) =>
      shown.flatMap(([name, label, column]) =>
        name === "limit" || column[row] === null ? [] : [[label, bare("temperature", column[row])]],
      ),
  });
}

const share = (column) => [null, ...column.map((each) => (each === null ? null : each * 100))];

// The charge at the end of each hour, and the reserve at which the cooler stops.
export function charge(host, view, options) {
  const { colours, size = 1, width } = options;
  const sides = sidesOf(width, size);
  const { hours, reserve } = view;
  const data = [Array.from({ length: view.count + 1 }, (_, row) => row)];
  const series = [{}];
  const bands = [];
  const hidden = { scale: "c", stroke: "transparent", width: 0, points: { show: false } };
  if (view.bounds) {
    const band = view.bounds.state_of_charge;
    data.push(share(band.p90), share(band.p10));
    series.push(hidden, hidden);
    bands.push({ series: [1, 2], fill: faded(colours.charge) });
  }
  if (reserve !== null) {
    data.push(data[0].map(() => reserve * 100));
    series.push({
      scale: "c",
      stroke: colours.limit,
      width: WIDTHS.reserve * size,
      dash: DASHES.reserve.map((each) => each * size),
      points: { show: false },
    });
  }
  const line = share(hours.state_of_charge);
  line[0] = view.summary.charge_at_start * 100;
  data.push(line);
  series.push({ scale: "c", stroke: colours.charge, width: WIDTHS.charge * size, points: { show: false } });
  return chart(host, view, options, data, {
    series,
    bands,
    scales: { c: { range: [0, 100] } },
    axes: [axis(options, { scale: "c", label: "%" })],
    padding: [10 * size, sides.axis + sides.label, 0, 0],
    said: (row) => [["charge", figure("share", hours.state_of_charge[row])]],
  });
}

// What comes in above the line, what goes out below it, piled up; means over the hour are steps.
export function powers(host, view, options) {
  const { colours, size = 1, width } = options;
  const sides = sidesOf(width, size);
  const { hours } = view;
  const stepped = uPlot.paths.stepped({ align: 1 });
  const data = [Array.from({ length: view.count + 1 }, (_, row) => row)];
  const series = [{}];
  const [coming, going] = [inUse(hours, POWERS_IN), inUse(hours, POWERS_OUT)];
  const pile = (shown, sign) => {
    const areas = [];
    let sums = new Array(view.count).fill(0);
    for (const [name, , names] of shown) {
      const column = summed(hours, names);
      sums = sums.map((each, row) => each + sign * column[row]);
      areas.unshift([name, [...sums, sums.at(-1)]]);
    }
    return areas;
  };
  const areas = [...pile(coming, 1), ...pile(going, -1)];
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
  return chart(host, view, options, data, {
    series,
    scales: { w: { range: [deep * 1.08, peak * 1.08] } },
    axes: [
      axis(options, {
        scale: "w",
        label: "W",
        values: (_, ticks) => ticks.map((each) => String(Math.abs(each))),
      }),
    ],
    padding: [10 * size, sides.axis + sides.label, 0, 0],
    labels: true,
    said: (row) =>
      [...coming, ...going].flatMap(([, label, names]) => {
        const value = summed(hours, names)[row];
        return value > 0.5 ? [[label, power(value)]] : [];
      }),
  });
}
