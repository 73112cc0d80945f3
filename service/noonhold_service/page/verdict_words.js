// The verdict in words: its state, the service's sentence, today, day after day, and the stay.

import { energy, figure, neat } from "./units.js";
import { dateOf, hourAsClock } from "./view.js";

// Three shapes that differ without colour; two of them for what a builder would look at first.
const HOLDS = { word: "Holds", mark: "●", holds: "yes" };
const NARROWLY = { word: "Holds narrowly", mark: "◐", holds: "narrowly" };
const NOT_JUDGED = { word: "Not judged", mark: "○", holds: "" };
const CAUSES = {
  energy_balance: "the day uses more energy than it gives",
  energy_storage: "the battery is too small",
  capacity: "the cooler is at its limit",
  measure: "the set point is too high for this limit",
  schedule: "cooling starts too late, or a stage is not allowed",
};
const ENERGY = /^energy/;

// How a verdict is written wherever it stands: word, mark, and a name for the style sheet.
export function stateOf(verdict, cause = null) {
  if (verdict === "holds") return HOLDS;
  if (verdict === "narrowly") return NARROWLY;
  if (verdict !== "fails") return NOT_JUDGED;
  const why = CAUSES[cause] ? `: ${CAUSES[cause]}` : "";
  return { word: `Fails${why}`, mark: ENERGY.test(cause ?? "") ? "▽" : "▲", holds: "no" };
}

export function stamp({ summary }) {
  const unjudged = summary.comfortable_fraction === null && summary.verdict !== "fails";
  return unjudged ? NOT_JUDGED : stateOf(summary.verdict, summary.first_cause);
}

// The service's sentences give °C; the reader's degrees stand in their place. A number that is
// followed by a comparison, or stands in kelvins, is a difference.
const NUMBER = "([−-]?\\d+(?:\\.\\d+)?)";
const DEGREES = new RegExp(`(?:${NUMBER} to )?${NUMBER}\\s?(?:°C|degC|K(?![\\w/]))(\\s(?:higher|lower|warmer|cooler|hotter|above|below|over|under|more|less)\\b)?`, "g");

export function inReadersDegrees(text) {
  return text.replace(DEGREES, (all, low, high, compared = "") => {
    const kind = compared || /K$/.test(all.trim()) ? "difference" : "temperature";
    const shown = (number) => neat(kind, Number(number.replace("−", "-")));
    return (low ? `${shown(low)} to ${shown(high)}` : shown(high)) + compared;
  });
}

export const sentence = ({ summary }) => inReadersDegrees(summary.sentence);

const at = (failure) =>
  failure?.first_failure_hour === null || failure?.first_failure_hour === undefined
    ? ""
    : ` at ${hourAsClock(failure.first_failure_hour)}`;

// The mark of the cause beside the bare word, where the cause is said elsewhere.
const shortState = (verdict, cause) => ({ ...stateOf(verdict, cause), word: stateOf(verdict).word });

function failureWords(failure, why = true) {
  if (!failure) return "";
  const day = failure.date ? `on ${dateOf(failure.date)}` : `on day ${failure.day}`;
  const cause = CAUSES[failure.first_cause];
  return `fails ${day}${at(failure)}${why && cause ? `: ${cause}` : ""}`;
}

function askedHorizon({ summary, days }) {
  const several = summary.days > 1;
  const state = shortState(summary.verdict, summary.first_cause);
  const failed = days.find((each) => each.verdict === "fails");
  const count = several ? `days that hold: ${summary.holding_days} of ${summary.days}` : "";
  const when = failed ? `first failure${several ? ` on ${dateOf(failed.date)}` : ""}${at(failed)}` : "";
  const narrow = summary.verdict === "narrowly" ? "a somewhat worse day would fail" : "";
  const lowest = failed || narrow ? "" : `battery no lower than ${figure("share", summary.lowest_charge)}`;
  return [several ? `These ${summary.days} days` : "Today", state, [count, when, narrow, lowest]];
}

function sustainedHorizon({ sustained }) {
  if (!sustained) return null;
  if (!sustained.verdict) return ["Day after day", NOT_JUDGED, [sustained.reason]];
  const state = shortState(sustained.verdict, sustained.first_failure?.first_cause);
  const balance = sustained.daily_balance_wh;
  const short = sustained.verdict === "fails" && balance < 0 ? `each day uses ${energy(-balance)} more than it gives` : "";
  const begins =
    sustained.verdict !== "fails" && sustained.settled_charge !== null && sustained.settled_charge !== undefined
      ? `each day begins at ${figure("share", sustained.settled_charge)}`
      : "";
  const failed = sustained.verdict === "fails" ? failureWords(sustained.first_failure, !short) : "";
  return ["Day after day", state, [short, failed, begins]];
}

function stayHorizon({ stay }) {
  if (!stay) return null;
  const all = !stay.first_failure;
  const state = all ? HOLDS : stay.days ? NARROWLY : shortState("fails", stay.first_failure.first_cause);
  const days = stay.days === 1 ? "1 day" : `${stay.days} days`;
  const word = all ? `${days} and more` : stay.days ? days : "not one day";
  const mark = all ? state.mark : stay.days ? "◔" : state.mark;
  const arriving = stay.charge_on_arrival < 0.995 ? `Arriving with ${figure("share", stay.charge_on_arrival)}` : "Arriving full";
  return [arriving, { ...state, word, mark }, [failureWords(stay.first_failure)]];
}

// Name, state and what more there is to say; what the answer does not have is left out.
export function horizons(answer) {
  const found = [askedHorizon(answer), sustainedHorizon(answer.summary), stayHorizon(answer.summary)];
  return found.filter(Boolean).map(([name, state, more]) => [name, state, more.filter(Boolean).join("; ")]);
}

// The chance of holding, where the answer has it as a number or as part of something.
export function chanceWords(answer) {
  const told = answer?.chance ?? answer?.summary.chance;
  const share = typeof told === "number" ? told : (told?.probability ?? told?.holds?.probability);
  return typeof share === "number" ? `Chance of holding: ${figure("share", share)}` : "";
}
