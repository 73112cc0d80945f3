// The day's plan above the charts, on the same hours: what is on when, and where the day misses.

import { svg } from "./dom.js";
import { runs, sidesOf } from "./chart_frame.js";
import { shareOfRows } from "./view.js";

const LANE = 15;
const GAP = 3;

// Lanes of what the request says: name, what more there is to say, share of each row, kind.
export function lanes(view) {
  const { request, times, rowHours } = view;
  const share = (span) => shareOfRows(times, rowHours, span);
  const found = [["cooler", "may run", share(view.window), "cooler"]];
  for (const each of request.place.shade ?? []) {
    const only = each.applies_to.length > 1 ? "on all" : `on ${each.applies_to[0]}`;
    found.push(["shade", only, share(each), ""]);
  }
  const spans = request.operation.spans ?? [];
  for (const span of spans) {
    if ("covers" in span) found.push(["covers", "drawn", share(span), ""]);
    if (span.deployed) found.push(["panel", "out", share(span), ""]);
    if ("driving_speed_km_h" in span) found.push(["driving", "", share(span), ""]);
  }
  if (spans.some((each) => each.deployed === false) && !spans.some((each) => each.deployed)) {
    found.push(["panel", "packed", share({ from: "00:00", to: "24:00" }), ""]);
  }
  return found;
}

// Hours over the limit, without those at the window's start that the service does not judge.
export function overLimit({ hours, inWindow, summary, answer, rowHours }) {
  const told = answer.assumptions.find((each) => each.path === "/comfort/allowance_h");
  const spared = Math.ceil((told?.value ?? 0) / rowHours);
  const judged = (row) =>
    inWindow[row] && Array.from({ length: spared }, (_, back) => inWindow[row - back - 1]).every(Boolean);
  return inWindow.map((_, row) => judged(row) && hours.comfort_measure[row] > summary.comfort_limit + 0.05);
}

export function drawPlan(host, view, width) {
  const sides = sidesOf(width);
  const [left, right] = [sides.axis + sides.label, sides.axis + sides.label];
  const x = (row) => left + (row / view.count) * (width - left - right);
  const shown = lanes(view);
  const missed = overLimit(view);
  const rows = shown.length + (missed.some(Boolean) ? 1 : 0);
  const height = rows * (LANE + GAP) + GAP;
  const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, width, height, "aria-hidden": "true" });
  shown.forEach(([name, more, share, kind], lane) => {
    const top = GAP + lane * (LANE + GAP);
    picture.append(
      svg("rect", { class: "lane", x: left, y: top, width: width - left - right, height: LANE }),
    );
    const starts = share.map((part, row) => row + (row && share[row - 1] ? 0 : 1 - part));
    for (const [from, to] of runs(share.map((part) => part > 0))) {
      const end = to - 1 + (to - from > 1 || share[to - 1] === 1 ? share[to - 1] : 1);
      picture.append(
        svg("rect", {
          class: `on ${kind}`,
          x: x(starts[from]),
          y: top + 2,
          width: Math.max(1, x(end) - x(starts[from])),
          height: LANE - 4,
        }),
      );
    }
    picture.append(...laneNames(name, more, top, left, width, right));
  });
  if (rows > shown.length) {
    const top = GAP + shown.length * (LANE + GAP);
    for (const [from, to] of runs(missed)) {
      const [a, b] = [x(from), x(to)];
      picture.append(
        svg("rect", { class: "miss-ground", x: a, y: top + 1, width: b - a, height: LANE - 2 }),
      );
      for (let at = a + 3; at < b - 2; at += 6) {
        picture.append(
          svg("path", { class: "miss", d: `M${at - 2} ${top + LANE - 3}L${Math.min(at + 3, b)} ${top + 3}` }),
        );
      }
    }
    picture.append(...laneNames(right > 55 ? "over limit" : "over", "", top, left, width, right));
  }
  host.replaceChildren(picture);
}

function laneNames(name, more, top, left, width, right) {
  const y = top + LANE - 4;
  return [
    svg("text", { x: left - 6, y, "text-anchor": "end" }, name),
    // Beside a narrow chart only the lane's name has room.
    ...(right > 55 ? [svg("text", { x: width - right + 6, y }, more)] : []),
  ];
}
