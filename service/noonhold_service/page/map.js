// A small map of the stations: points, a graticule, and coasts and borders once they are known.

import { within } from "./coast.js";
import { svg } from "./dom.js";

const WIDTH = 360;
const TALLEST = 300;
const ROOM = 26;
const STEPS = [0.25, 0.5, 1, 2, 5, 10, 20, 30];

export function drawMap(host, { stations, chosen, point, onStation, onPoint, arcs = [] }) {
  const places = point ? [...stations, point] : stations;
  if (!places.length) {
    host.replaceChildren(...host.querySelectorAll("title"));
    return;
  }
  const box = bounds(places);
  // A degree of longitude is shorter than one of latitude by the cosine of the latitude.
  const squeeze = Math.max(0.2, Math.cos(((box.south + box.north) / 2 / 180) * Math.PI));
  const scale = Math.min(
    (WIDTH - 2 * ROOM) / ((box.east - box.west) * squeeze),
    (TALLEST - 2 * ROOM) / (box.north - box.south),
  );
  const height = Math.round((box.north - box.south) * scale + 2 * ROOM);
  const left = (WIDTH - (box.east - box.west) * squeeze * scale) / 2;
  const x = (longitude) => left + (longitude - box.west) * squeeze * scale;
  const y = (latitude) => ROOM + (box.north - latitude) * scale;
  host.setAttribute("viewBox", `0 0 ${WIDTH} ${height}`);
  const parts = [...graticule(box, x, y, height)];
  const lines = within(arcs, box, 2 * ROOM / scale).map(({ points }) =>
    points.map(([a, b], k) => `${k ? "L" : "M"}${x(a).toFixed(1)} ${y(b).toFixed(1)}`).join(""));
  if (lines.length) parts.push(svg("path", { class: "coast", d: lines.join("") }));
  if (point && chosen) {
    parts.push(
      svg("path", {
        class: "tie",
        d: `M${x(point.longitude)} ${y(point.latitude)}L${x(chosen.longitude)} ${y(chosen.latitude)}`,
      }),
    );
  }
  const radius = stations.length > 150 ? 2.5 : stations.length > 60 ? 3.5 : 4.5;
  for (const station of stations) {
    const here = station.id === chosen?.id;
    const dot = svg("circle", {
      class: here ? "dot chosen" : "dot",
      cx: x(station.longitude),
      cy: y(station.latitude),
      r: here ? radius + 2 : radius,
    });
    dot.append(svg("title", {}, `${station.name}, ${station.region}`));
    dot.addEventListener("click", (event) => {
      event.stopPropagation();
      onStation(station.id);
    });
    parts.push(dot);
  }
  if (chosen && !point) parts.push(named(chosen.name, x(chosen.longitude), y(chosen.latitude)));
  if (point) {
    const [a, b] = [x(point.longitude), y(point.latitude)];
    parts.push(svg("path", { class: "cross", d: `M${a - 7} ${b}h14M${a} ${b - 7}v14` }));
  }
  host.replaceChildren(...host.querySelectorAll(":scope > title"), ...parts);
  host.onclick = (event) => {
    const at = host.getBoundingClientRect();
    const [px, py] = [
      ((event.clientX - at.left) / at.width) * WIDTH,
      ((event.clientY - at.top) / at.height) * height,
    ];
    const round = (value, limit) => Math.round(Math.min(Math.max(value, -limit), limit) * 100) / 100;
    onPoint(
      round(box.north - (py - ROOM) / scale, 90),
      round(box.west + (px - left) / squeeze / scale, 180),
    );
  };
}

function bounds(places) {
  const latitudes = places.map((each) => each.latitude);
  const longitudes = places.map((each) => each.longitude);
  const least = 1;
  const grown = (values) => {
    const [low, high] = [Math.min(...values), Math.max(...values)];
    const room = Math.max(0, least - (high - low)) / 2;
    return [low - room, high + room];
  };
  const [south, north] = grown(latitudes);
  const [west, east] = grown(longitudes);
  return { south, north, west, east };
}

function* graticule(box, x, y, height) {
  const step =
    STEPS.find((each) => Math.max(box.north - box.south, box.east - box.west) / each <= 6) ?? 30;
  const face = (value, plus, minus) =>
    `${Math.abs(value)}° ${value === 0 ? "" : value > 0 ? plus : minus}`.trim();
  for (let at = Math.ceil(box.west / step) * step; at <= box.east; at += step) {
    yield svg("path", { class: "grid", d: `M${x(at)} 0V${height}` });
    if (x(at) < WIDTH - 38) yield svg("text", { x: x(at) + 3, y: height - 5 }, face(at, "E", "W"));
  }
  for (let at = Math.ceil(box.south / step) * step; at <= box.north; at += step) {
    yield svg("path", { class: "grid", d: `M0 ${y(at)}H${WIDTH}` });
    yield svg("text", { x: 4, y: y(at) - 3 }, face(at, "N", "S"));
  }
}

function named(name, a, b) {
  const right = a > WIDTH * 0.6;
  return svg(
    "text",
    { x: right ? a - 10 : a + 10, y: b + 4, "text-anchor": right ? "end" : "start" },
    name,
  );
}
