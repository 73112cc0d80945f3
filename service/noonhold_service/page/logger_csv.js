// A logger's file: rows and columns, which column is what, and times with their offset.

export const CHANNELS = [
  ["cabin_temperature", "cabin temperature", /cabin|inside|indoor|interior|room|innen|interior/i],
  ["outdoor_temperature", "outdoor temperature", /out(side|door)?|ambient|exterior|aussen|außen/i],
  ["state_of_charge", "charge of the battery", /soc|charge|ladezustand/i],
  ["array_power_w", "solar power, W", /solar|array|panel|pv/i],
  ["cooler_power_w", "cooler power, W", /cool|a\/?c\b|aircon|compressor/i],
  ["load_power_w", "house loads, W", /load|dc out|verbrauch/i],
  ["heater_power_w", "heater power, W", /heater|heiz/i],
  ["ghi", "global radiation, W/m²", /ghi|global|pyran/i],
  ["relative_humidity", "relative humidity outdoors", /humid|rh\b|feuchte/i],
  ["wind_speed", "wind speed, m/s", /wind/i],
];
export const TIME = /time|date|zeit|datum|fecha|hora/i;

// Rows of cells; the delimiter is the one that the first line has most of.
export function rowsOf(text) {
  const first = text.slice(0, text.search(/\r?\n|$/));
  const delimiter = [",", ";", "\t"].reduce((a, b) => (first.split(b).length > first.split(a).length ? b : a));
  const rows = [[]];
  let cell = "";
  let quoted = false;
  for (let at = 0; at < text.length; at += 1) {
    const mark = text[at];
    if (quoted) {
      if (mark !== '"') cell += mark;
      else if (text[at + 1] === '"') {
        cell += '"';
        at += 1;
      } else quoted = false;
    } else if (mark === '"') quoted = true;
    else if (mark === delimiter || mark === "\n") {
      rows.at(-1).push(cell.trim());
      cell = "";
      if (mark === "\n") rows.push([]);
    } else if (mark !== "\r") cell += mark;
  }
  rows.at(-1).push(cell.trim());
  const [heads, ...body] = rows.filter((row) => row.some((each) => each !== ""));
  return { heads: heads ?? [], body, comma: delimiter !== "," };
}

// For each channel the column that its head names, -1 where none does; no column stands twice.
export function guess(heads) {
  const taken = new Set();
  const find = (pattern) => {
    const at = heads.findIndex((head, k) => !taken.has(k) && pattern.test(head));
    if (at >= 0) taken.add(at);
    return at;
  };
  const time = find(TIME);
  return { time, ...Object.fromEntries(CHANNELS.map(([name, , pattern]) => [name, find(pattern)])) };
}

export const isFahrenheit = (head) => /°\s?F|\bdeg ?F\b|fahrenheit|[_ (]F\)?$/i.test(head ?? "");

const two = (value) => String(value).padStart(2, "0");

// A time as a log has it, with the place's offset where it has none; null where it is no time.
export function timeOf(text, offset) {
  const iso = /^(\d{4})-(\d\d?)-(\d\d?)[T ](\d\d?):(\d\d)(?::(\d\d))?(?:\.\d+)?\s*(Z|[+-]\d\d:?\d\d)?$/.exec(text);
  const european = /^(\d\d?)\.(\d\d?)\.(\d{4})[ ,T]+(\d\d?):(\d\d)(?::(\d\d))?$/.exec(text);
  const american = /^(\d\d?)\/(\d\d?)\/(\d{4})[ ,]+(\d\d?):(\d\d)(?::(\d\d))?\s*([ap]m)?$/i.exec(text);
  let parts;
  if (iso) parts = [iso[1], iso[2], iso[3], iso[4], iso[5], iso[6]];
  else if (european) parts = [european[3], european[2], european[1], european[4], european[5], european[6]];
  else if (american) {
    const half = american[7]?.toLowerCase();
    const hour = half ? (Number(american[4]) % 12) + (half === "pm" ? 12 : 0) : american[4];
    parts = [american[3], american[1], american[2], hour, american[5], american[6]];
  } else return null;
  const [year, month, day, hour, minute, second = "00"] = parts;
  const zone = iso?.[7]?.replace("Z", "+00:00").replace(/^([+-]\d\d)(\d\d)$/, "$1:$2") ?? offset;
  return `${year}-${two(month)}-${two(day)}T${two(hour)}:${minute}:${second}${zone}`;
}

// The log of a calibration; columns are numbers of columns by channel, -1 for none.
export function logOf({ heads, body, comma }, columns, { fahrenheit, offset }) {
  const times = [];
  const values = {};
  const used = CHANNELS.filter(([name]) => columns[name] >= 0).map(([name]) => name);
  for (const name of used) values[name] = [];
  for (const row of body) {
    const time = timeOf(row[columns.time] ?? "", offset);
    if (!time) continue;
    times.push(time);
    for (const name of used) {
      const text = row[columns[name]] ?? "";
      const number = Number(comma ? text.replace(",", ".") : text);
      values[name].push(text === "" || !Number.isFinite(number) ? null : number);
    }
  }
  // A share in percent becomes a fraction, as the service has it.
  for (const name of ["state_of_charge", "relative_humidity"]) {
    const column = values[name];
    const percent = column && Math.max(...column.filter((each) => each !== null)) > 1.5;
    if (name === "state_of_charge" && percent) values[name] = column.map((each) => (each === null ? null : each / 100));
  }
  return { temperature_unit: fahrenheit ? "degF" : "degC", times, columns: values, skipped: body.length - times.length, heads };
}
