// The year of the rig at its place: asked for on request, since it costs seconds.

import { post, Trouble } from "./asking.js";
import { by, make, table } from "./dom.js";
import { bare, energy, figure } from "./units.js";
import { stateOf } from "./verdict_words.js";
import { MONTH_NAMES } from "./view.js";
import { calendar, keyOfYear } from "./year_calendar.js";

// The request for POST /v1/years behind a projection's; null for a described day without a station.
export function yearRequestOf(request, site) {
  const station = request.weather.typical_year?.station ?? site.station;
  if (!station) return null;
  const { rig, place, operation, start, comfort } = request;
  const asked = { rig, place, operation, start, comfort };
  // At coordinates the service finds the station, and refuses where none is near enough.
  if (request.weather.typical_year?.station) asked.station = station;
  return asked;
}

export function yearWords({ summary }) {
  const { holds, narrowly, fails, days_needing_cooling: needing } = summary;
  const run = summary.longest_failing_run_d;
  const best = summary.best_months.map((month) => MONTH_NAMES[month - 1]).join(", ");
  const cause = fails ? stateOf("fails", summary.most_frequent_cause).word.replace(/^Fails: /, "most often because ") : "";
  return [
    `${needing} of 365 days need cooling. Of all, ${holds} hold, ${narrowly} hold only narrowly, ${fails} fail${cause ? `, ${cause}` : ""}.`,
    run > 1 ? `The longest run of days that fail: ${run}.` : "",
    best ? `No day fails in ${best}.` : "",
  ].filter(Boolean).join(" ");
}

export class YearPart {
  // `onDay` opens a day of the year, by month and day.
  constructor(onDay, onYear) {
    Object.assign(this, { onDay, onYear, current: null, year: null });
    by("year-part").addEventListener("toggle", () => {
      if (by("year-part").open) this.ask();
    });
  }

  // A new answer: the year that was shown belongs to another question, unless only the day differs.
  begin(current) {
    this.current = current;
    const request = yearRequestOf(current.request, current.site);
    const text = JSON.stringify(request);
    if (text === this.asked && this.year) return;
    Object.assign(this, { request, asked: text, year: null });
    by("year").replaceChildren();
    by("months").replaceChildren();
    by("year-key").replaceChildren();
    by("year-says").textContent = "";
    if (by("year-part").open) this.ask();
  }

  async ask() {
    if (this.year || !this.current) return this.year;
    const { asked, request } = this;
    if (!request) {
      by("year-says").textContent = "A year needs a weather station; this place has none.";
      return null;
    }
    by("year-says").textContent = "Running 365 days…";
    try {
      const year = await post("/v1/years", request);
      if (asked !== this.asked) return null;
      this.year = year;
      this.show();
      this.onYear?.();
      return year;
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      if (asked === this.asked) by("year-says").textContent = `Not known: ${error.faults[0]?.detail ?? error.message}`;
      return null;
    }
  }

  show() {
    const { year } = this;
    if (!year) return;
    by("year-says").textContent = `${year.station.name}: ${yearWords(year)}`;
    calendar(by("year"), year.days, this.onDay);
    by("year-key").replaceChildren(keyOfYear());
    table(
      by("months"),
      ["Month", "Need cooling", "● Hold", "◐ Narrowly", "▲ Fail", `Mean high, ${figure("temperature", 0).slice(-2)}`, "Battery lowest, %", "Cooler a day", "Solar a day"],
      year.months.map((each) => [
        MONTH_NAMES[each.month - 1], String(each.days_needing_cooling), String(each.holds), String(each.narrowly), String(each.fails),
        bare("temperature", each.mean_outdoor_high_c), bare("share", each.lowest_charge), energy(each.cooler_wh_a_day), energy(each.solar_wh_a_day),
      ]),
      { numeric: [1, 2, 3, 4, 5, 6, 7, 8] },
    );
  }
}
