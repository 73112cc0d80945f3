// The frame that the charts share: hours below, one axis at the left, the hour read beside the cursor.

const NARROW_PX = 460;

// Room left and right of the hours, the same for all charts and the plan above them.
export const sidesOf = (width, size = 1) =>
  width < NARROW_PX * size ? { axis: 34 * size, label: 14 * size } : { axis: 44 * size, label: 18 * size };

export function chart(host, view, options, data, parts) {
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
      ready: onHour ? [(u) => u.over.append(Object.assign(document.createElement("div"), { className: "at-cursor" }))] : [],
      setCursor: onHour
        ? [(u) => {
            readOut(u, view, parts.said);
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
  const made = new uPlot(drawn, data, host);
  made.readOut = () => readOut(made, view, parts.said);
  return made;
}

export function axis({ colours, width, size = 1 }, more) {
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

// The values of the hour beside the cursor, on the side that has room; the slider says them in words.
function readOut(u, view, said) {
  const box = u.over.querySelector(".at-cursor");
  const { left } = u.cursor;
  if (!box) return;
  box.hidden = left < 0;
  if (left < 0) return;
  const row = Math.min(Math.max(Math.floor(u.posToVal(left, "x")), 0), view.count - 1);
  box.replaceChildren(
    ...said(row).map(([name, value]) => {
      const line = document.createElement("span");
      line.append(`${name} `, Object.assign(document.createElement("b"), { textContent: value }));
      return line;
    }),
  );
  const before = left > u.over.clientWidth / 2;
  box.style.left = before ? "" : `${left + 8}px`;
  box.style.right = before ? `${u.over.clientWidth - left + 8}px` : "";
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

export const faded = (colour) => colour.replace("rgb(", "rgba(").replace(")", ", 0.25)");
const bodyFont = () => getComputedStyle(document.documentElement).fontFamily;
