// A year as a table of its days by verdict: shapes that differ without colour, as in the verdict.

import { make } from "./dom.js";
import { figure } from "./units.js";
import { stateOf } from "./verdict_words.js";
import { MONTH_NAMES, yearDay } from "./view.js";

const MOST_DAYS = 31;
const FREE = { word: "needs no cooling", mark: "·", holds: "" };

const dayState = (days, row) =>
  days.needs_cooling[row] || days.verdict[row] === "fails"
    ? stateOf(days.verdict[row], days.first_cause[row])
    : FREE;

export const STATES = [
  ["●", "holds"], ["◐", "holds narrowly"], ["▲", "fails"], ["▽", "fails for want of energy"], ["·", "needs no cooling"],
];

export const keyOfYear = () => make("ul", { class: "key" }, ...STATES.map(([mark, word]) => make("li", {}, `${mark} ${word}`)));

export function dayWordsOf(days, row) {
  const state = dayState(days, row);
  return `${yearDay(days.day[row])}: ${state.word}, outdoors up to ${figure("temperature", days.outdoor_high_c[row])}`;
}

// `onDay` makes each day a button; without it the calendar is for paper.
export function calendar(host, days, onDay = null) {
  const cells = new Map(days.day.map((day, row) => [day, row]));
  const head = make("tr", {}, make("th", { scope: "col" }, "Month"),
    ...Array.from({ length: MOST_DAYS }, (_, day) => make("th", { scope: "col" }, String(day + 1))));
  const rows = MONTH_NAMES.map((name, month) =>
    make("tr", {}, make("th", { scope: "row" }, name), ...Array.from({ length: MOST_DAYS }, (_, day) => {
      const row = cells.get(`${String(month + 1).padStart(2, "0")}-${String(day + 1).padStart(2, "0")}`);
      if (row === undefined) return make("td", { class: "none" });
      const { mark, holds } = dayState(days, row);
      const inner = onDay
        ? make("button", {
            type: "button", tabindex: row ? "-1" : "0", "data-row": String(row), title: dayWordsOf(days, row),
            "aria-label": dayWordsOf(days, row), onclick: () => onDay(month + 1, day + 1),
          }, mark)
        : mark;
      return make("td", { "data-holds": holds }, inner);
    })),
  );
  host.replaceChildren(make("caption", { class: "unseen" }, "The days of the year by verdict"), make("thead", {}, head), make("tbody", {}, ...rows));
  if (onDay) host.onkeydown = (event) => walk(host, event);
}

// Arrows go from day to day and from month to month: one stop of the tabulator for the whole year.
function walk(host, event) {
  const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const step = steps[event.key];
  const here = event.target.closest?.("td");
  if (!step || !here) return;
  event.preventDefault();
  const row = step[1] ? here.parentElement[step[1] > 0 ? "nextElementSibling" : "previousElementSibling"] : here.parentElement;
  const buttons = step[1]
    ? [row?.children[here.cellIndex]?.querySelector("button")]
    : [host.querySelector(`button[data-row="${Number(event.target.dataset.row) + step[0]}"]`)];
  const [next] = buttons;
  if (!next) return;
  event.target.tabIndex = -1;
  next.tabIndex = 0;
  next.focus();
}
