// An answer, made ready to be read: rows by the place's clock, and the hours that are judged.

export const MONTH_NAMES = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

// Times carry the place's offset: what stands in them is what a clock there shows.
export const clockOf = (time) => time.slice(11, 16);
export const hourOf = (time) => Number(time.slice(11, 13)) + Number(time.slice(14, 16)) / 60;
export const dateOf = (day) => `${Number(day.slice(8, 10))} ${MONTH_NAMES[Number(day.slice(5, 7)) - 1]}`;
export const yearDay = (day) => dateOf(`0000-${day}`);

// How long something lasted, which a clock's face would make a time of day of.
export function duration(hours) {
  const minutes = Math.round(hours * 60);
  const whole = Math.floor(minutes / 60);
  return [whole ? `${whole} h` : "", minutes % 60 || !whole ? `${minutes % 60} min` : ""].filter(Boolean).join(" ");
}

export function hourAsClock(hour) {
  const minutes = Math.round(hour * 60);
  const face = (minutes % 60).toString().padStart(2, "0");
  return `${Math.floor(minutes / 60).toString().padStart(2, "0")}:${face}`;
}

const inHours = (clock) => Number(clock.slice(0, 2)) + Number(clock.slice(3, 5)) / 60;

// Which part of each row lies in a span of the clock, 0 to 1.
export function shareOfRows(times, rowHours, { from, to }) {
  const [a, b] = [inHours(from), inHours(to)];
  const parts = a < b ? [[a, b]] : [[a, 24], [0, b]];
  return times.map((time) => {
    const start = hourOf(time);
    const overlap = parts.reduce(
      (sum, [first, last]) =>
        sum + Math.max(0, Math.min(last, start + rowHours) - Math.max(first, start)),
      0,
    );
    return overlap / rowHours;
  });
}

// The share of charge at which the cooler stops: the rig's own, else the default that was used.
export function reserveOf(answer, rig) {
  const stated = rig?.battery?.reserve_fraction;
  const used = answer.assumptions.find(({ path }) => path === "/rig/battery/reserve_fraction");
  return stated ?? used?.value ?? null;
}

export function viewOf(answer, request, bounds, rig = null) {
  const { hours, summary, clock } = answer;
  const times = hours.time;
  const count = times.length;
  const rowHours = clock.interval_s / 3600;
  const window = request.operation.cooling_window;
  const share = shareOfRows(times, rowHours, window);
  const midnights = times.flatMap((time, row) => (hourOf(time) === 0 ? [row] : []));
  return {
    answer,
    request,
    hours,
    summary,
    times,
    count,
    rowHours,
    window,
    inWindow: share.map((each) => each > 0.5),
    bounds,
    reserve: reserveOf(answer, rig),
    ticks(width) {
      if (midnights.length > 1) return midnights;
      const step = width > 520 ? 3 : width > 300 ? 6 : 12;
      const found = times.flatMap((time, row) => (hourOf(time) % step === 0 ? [row] : []));
      return (hourOf(times[0]) + count * rowHours) % step === 0 ? [...found, count] : found;
    },
    tickLabel(row) {
      if (row >= count) return "24:00";
      return midnights.length > 1 ? dateOf(times[row]) : clockOf(times[row]);
    },
    rowName(row) {
      const end = row + 1 < count ? clockOf(times[row + 1]) : "24:00";
      const day = midnights.length > 1 ? `${dateOf(times[row])}, ` : "";
      return `${day}${clockOf(times[row])} to ${end === "00:00" ? "24:00" : end}`;
    },
  };
}
