// What did my test day tell? A logger's file, its columns, the fit, and the calibrated rig.

import { post, Trouble } from "./asking.js";
import { by, make, table } from "./dom.js";
import { faultWords } from "./fault_words.js";
import { CHANNELS, guess, isFahrenheit, logOf, rowsOf } from "./logger_csv.js";
import { inReadersDegrees } from "./verdict_words.js";

const plain = (name) => name.replaceAll("_", " ").replace(/ (c|w)$/, "");
const times = (value) => `× ${value.toFixed(2)}`;

export class CalibrationPart {
  // `onRig` takes the calibrated rig over.
  constructor(onRig) {
    Object.assign(this, { onRig, current: null, file: null });
    by("log-file").addEventListener("change", ({ target }) => target.files[0] && this.read(target.files[0]));
    const area = by("log-drop");
    area.addEventListener("dragover", (event) => event.preventDefault());
    area.addEventListener("drop", (event) => {
      event.preventDefault();
      if (event.dataTransfer.files[0]) this.read(event.dataTransfer.files[0]);
    });
    by("log-fit").addEventListener("click", () => this.ask());
  }

  begin(current) {
    this.current = current;
  }

  async read(file) {
    this.file = rowsOf(await file.text());
    const { heads, body } = this.file;
    const found = guess(heads);
    const choice = (name, words) =>
      make("div", { class: "line" }, make("label", { for: `log-${name}` }, words),
        make("select", { id: `log-${name}` }, make("option", { value: "-1" }, "not in the file"),
          ...heads.map((head, k) => make("option", { value: String(k) }, head || `column ${k + 1}`))));
    by("log-columns").replaceChildren(choice("time", "time"), ...CHANNELS.map(([name, words]) => choice(name, words)));
    for (const [name, at] of Object.entries(found)) by(`log-${name}`).value = String(at);
    by("log-unit").value = isFahrenheit(heads[found.cabin_temperature]) ? "degF" : "degC";
    by("log-map").hidden = false;
    by("log-says").textContent = `${body.length} rows. Check which column is what, then fit.`;
  }

  log() {
    const columns = Object.fromEntries(["time", ...CHANNELS.map(([name]) => name)].map((name) => [name, Number(by(`log-${name}`).value)]));
    const offset = /(Z|[+-]\d\d:\d\d)$/.exec(this.current.answer.hours.time[0])?.[1].replace("Z", "+00:00");
    const { skipped, heads: _, ...log } = logOf(this.file, columns, { fahrenheit: by("log-unit").value === "degF", offset });
    return { log, skipped };
  }

  async ask() {
    if (!this.current || !this.file) return;
    const { log, skipped } = this.log();
    if (!log.times.length) {
      by("log-says").textContent = "No row has a time that can be read: 2026-07-15 14:00, 15.07.2026 14:00 and 07/15/2026 2:00 PM can.";
      return;
    }
    by("log-says").textContent = "Fitting…";
    const { rig, place, operation } = this.current.request;
    const weather = { wind_speed_m_s: 2, ...(log.columns.relative_humidity ? {} : { dew_point_c: this.current.scenario.dew_point_c }) };
    try {
      const found = await post("/v1/calibrations", { rig, place, operation, weather, log });
      this.show(found, skipped);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      by("log-says").textContent = error.faults.map(faultWords).join("; ") || error.message;
    }
  }

  show(found, skipped) {
    const unread = skipped ? ` ${skipped} rows had no time and were left out.` : "";
    by("log-says").textContent = `${found.intervals} intervals fitted.${unread} ${found.notes.map(inReadersDegrees).join(" ")}`;
    table(by("log-factors"), ["What", "The log says", "Range", "Known from this log"], found.factors.map((each) => [
      plain(each.name), times(each.factor), `${times(each.low)} to ${times(each.high)}`, each.identified ? "yes" : `no: ${each.reason ?? "the log does not tell"}`,
    ]), { numeric: [1, 2] });
    const held = new Map((found.held_out ?? []).map((each) => [each.channel, each]));
    table(by("log-residuals"), ["Channel", "Typical error before", "after the fit", "on the part not fitted"], found.fitted.map((each) => {
      const unit = each.unit === "1" ? "" : ` ${each.unit}`;
      const shown = (value) => (value === null || value === undefined ? "–" : `${value.toPrecision(2)}${unit}`);
      return [plain(each.channel), shown(each.rmse_as_described), shown(each.rmse), shown(held.get(each.channel)?.rmse)];
    }), { numeric: [1, 2, 3] });
    by("log-take").replaceChildren(make("button", { type: "button", onclick: () => this.onRig(found.rig) }, "Take the calibrated rig"));
  }
}
