// The page: the question beside its answer. It asks the service and computes nothing of its own.

import { post, Trouble } from "./asking.js";
import { Builder } from "./builder.js";
import { by, make } from "./dom.js";
import { faultsWords, faultWords } from "./fault_words.js";
import { QuestionForm } from "./form.js";
import { askKey, onKey } from "./key_dialog.js";
import { fragmentOf, scenarioOf } from "./link.js";
import { workOffline } from "./offline.js";
import { PlacesPart } from "./places_part.js";
import { OWN } from "./question_of.js";
import { partWords, questionLine } from "./question_words.js";
import { RigChoice } from "./rig_choice.js";
import { rigFacts } from "./rig_facts.js";
import { RigPaper } from "./rig_paper.js";
import { DEFAULTS, documentOf, endsPlan, fieldOf, firstDay } from "./scenario.js";
import { keepOpen } from "./open_parts.js";
import { layOut } from "./sheet.js";
import { changeWords, Show } from "./show.js";
import { Source } from "./source.js";
import { CalibrationPart } from "./calibration_part.js";
import { PlanPart } from "./plan_part.js";
import { SizingPart } from "./sizing_part.js";
import { SideBySide } from "./side_by_side.js";
import { STUDIES, Studies } from "./studies.js";
import { likelyDay, proposedDay } from "./proposed_day.js";
import { askedWords, contextWords, dayWords, isFar, position, rigWords, siteWords } from "./telling.js";
import { curlLine } from "./take.js";
import { wireTakes } from "./take_part.js";
import { reading, remember } from "./units.js";
import { YearPart } from "./year_part.js";

const SETTLE_MS = 90; // long enough for the next key stroke, shorter than a blink
const IDLE_MS = 450; // then the sheet
const SLOW_MS = 6000;
const BUSY_MS = 500;
const RETRY_S = 3;
// Where the service says that no station is near enough.
const NO_WEATHER = /^\/(place|weather\/typical_year.*)$/;

const source = new Source();
const scenario = { ...DEFAULTS };
const paper = new RigPaper((text) => {
  scenario.rig_text = text;
  changed("rig_text");
});
const rigs = new RigChoice(source, scenario, paper, {
  show: () => form.show(),
  asked: changed,
  onList: () => beside.fill(),
});
const { bench } = rigs;
const form = new QuestionForm(by("question"), scenario, changed);
const show = new Show((change) => set(change), (size) => rigs.resize(current.rig, size));
const studies = new Studies(show, later, laySoon);
const places = new PlacesPart(source, scenario, set);
const year = new YearPart((month, day_of_month) => set({ day: "date", month, day_of_month }), laySoon);
const builder = new Builder(laySoon);
const parts = [
  year,
  new SizingPart((size) => rigs.resize(current.rig, size), (rig) => rigs.take(rig)),
  new PlanPart((plan) => set({ plan })),
  new CalibrationPart((rig) => rigs.take(rig)),
];
const beside = new SideBySide(source, scenario, () => rigs.all(), (kept) => set({ ...kept }));
const timers = {};
let controller = new AbortController();
let current = null;
let laying = Promise.resolve();
let answers = 0; // how many there were, for whoever waits for the next one

// --- one question after the other -----------------------------------------------------------

function later(name, after, act) {
  clearTimeout(timers[name]);
  timers[name] = setTimeout(act, after);
}

function changed(name) {
  if (name === "rig") rigs.settle();
  if (name === "day" && scenario.day === "like") likeTheHottestDay();
  if (name && endsPlan(name)) scenario.plan = "";
  settleTogether(name);
  for (const each of [...STUDIES, "sheet", "retry"]) clearTimeout(timers[each]);
  delete document.documentElement.dataset.sheet;
  later("ask", SETTLE_MS, ask);
}

async function ask() {
  controller.abort();
  controller = new AbortController();
  const { signal } = controller;
  state("asking");
  later("busy", BUSY_MS, () => working("Working it out…"));
  later("slow", SLOW_MS, () =>
    working("The service takes longer than usual. These results are for your previous entry."),
  );
  try {
    history.replaceState(null, "", await fragmentOf(scenario));
    if (signal.aborted) return;
    const question = await questionNow();
    if (signal.aborted || !question) return;
    const answer = await post("/v1/projections", question.request, { signal });
    if (signal.aborted) return;
    current = { ...question, answer, scenario: { ...scenario }, context: contextWords(scenario, question, answer, form) };
    trouble(null);
    bench.showFaults([]);
    show.answer(current, null);
    by("curl").textContent = curlLine(current.request);
    state("answered");
    answers += 1;
    document.documentElement.dataset.answers = String(answers);
    studies.begin(current, signal);
    for (const each of parts) each.begin(current);
    later("sheet", IDLE_MS, lay);
  } catch (error) {
    if (signal.aborted || error.name === "AbortError") return;
    if (!(error instanceof Trouble)) throw error;
    meet(error);
  } finally {
    if (!signal.aborted) {
      clearTimeout(timers.busy);
      clearTimeout(timers.slow);
      working("");
    }
  }
}

// The request for the scenario as it stands; null where it cannot be asked yet.
async function questionNow() {
  form.clearFaults();
  const own = scenario.rig === OWN;
  by("rig-own").hidden = !own;
  by("rig-copy").hidden = own;
  const rig = own ? paper.read() : (await source.rig(scenario.rig)).rig;
  if (own) bench.show(rig, paper.area.value);
  by("rig-facts").textContent = rig ? rigWords(rig, own) : "";
  if (!rig) {
    trouble({ words: "The rig's document cannot be read yet; its fault is shown at its line.", faults: [] });
    return null;
  }
  const site = await source.site(scenario);
  const climate = site.station ? await source.year(site.station) : null;
  if (scenario.day !== "like" && !climate) {
    trouble({ words: "This service has no station: describe the day instead (“a day like this”).", faults: [] });
    return null;
  }
  by("site-facts").textContent = siteWords(scenario, site);
  by("day-facts").textContent = dayWords(scenario, site, climate, firstDay(scenario, climate));
  by("panel-facts").textContent = rigFacts(rig).folding ? "" : "This rig has no set-out panel; an awning is packed with it.";
  places.draw(site);
  tellParts({ rig, site, day: firstDay(scenario, climate) });
  const request = documentOf(scenario, site, climate, own ? rig : scenario.rig);
  return { request, site, climate, rig, own };
}

// The question folded to one line, and each part to its own.
function tellParts(known) {
  by("fold-says").textContent = questionLine(scenario, known);
  for (const [part, words] of Object.entries(partWords(scenario, known, form))) by(`says-${part}`).textContent = words;
}

// --- telling ---------------------------------------------------------------------------------

function state(word) {
  document.documentElement.dataset.state = word;
  by("found").classList.toggle("stale", word === "trouble");
}

function working(text) {
  by("working").textContent = text;
}

function meet(error) {
  const { faults } = error;
  const own = scenario.rig === OWN;
  const inRig = faults.filter((each) => own && /^\/rig(\/|$)/.test(each.pointer));
  if (own) bench.showFaults(inRig.map((each) => ({ ...each, pointer: each.pointer.slice(4) })));
  if (own) paper.showFaults(inRig.map((each) => ({ ...each, pointer: each.pointer.slice(4) })));
  const rest = [];
  for (const fault of faults.filter((each) => !inRig.includes(each))) {
    const name = fieldOf(fault.pointer, lastRequest(), scenario);
    const words = faultWords(fault);
    if (name && form.field(name)) form.say(name, words);
    else rest.push(fault.pointer && !NO_WEATHER.test(fault.pointer) ? `${fault.pointer}: ${words}` : words);
  }
  const far = scenario.day !== "like" && scenario.where === "point" && faults.some(({ pointer }) => NO_WEATHER.test(pointer));
  const told = far
    ? "Too far from every station to use its weather: enter the day's weather."
    : faults.length ? faultsWords(faults.length, inRig.length) : error.message;
  if (faults.length && !far) by("fold").open = true;
  trouble({ words: told, faults: rest, offer: far ? describeTheDay : null });
  if (error.status === 401) askKey();
  else if (error.waitS) later("retry", error.waitS * 1000, ask);
}

function lastRequest() {
  return current?.site ? documentOf(scenario, current.site, current.climate, "") : null;
}

function trouble(what) {
  by("trouble").hidden = !what;
  if (!what) return;
  state("trouble");
  by("trouble").replaceChildren(
    make("p", {}, what.words),
    ...(what.faults.length ? [make("ul", {}, ...what.faults.map((each) => make("li", {}, each)))] : []),
    what.offer ? make("button", { type: "button", onclick: what.offer }, "Enter a hot day instead") : "",
  );
  // What stood there answers another question, and must not look like the answer to this one.
  by("stamp").textContent = "○ Not answered";
  by("sentence").textContent = "No answer yet.";
  by("context").textContent = current ? "These results are for your previous entry." : "";
  by("bar").dataset.holds = "";
  by("chance").textContent = "";
  by("danger").textContent = "";
  by("horizons").replaceChildren();
  by("remedies-part").hidden = true;
}

function laySoon() {
  delete document.documentElement.dataset.sheet;
  later("sheet", 50, lay);
}

// One after the other, so that the last laid out is the last asked for.
function lay() {
  laying = laying.then(layNow);
  return laying;
}

async function layNow() {
  if (!current) return;
  const { base, rows: compared } = studies.compared;
  const rows = base ? compared.slice(0, 4).map((each) => changeWords(base, each)) : [];
  await layOut(by("sheet"), show.view, askedWords(scenario, current, form), rows, {
    advised: current.advised,
    builder: builder.said,
    place: scenario.where === "station" ? current.site.name : position(current.site),
    when: new Intl.DateTimeFormat(undefined, { dateStyle: "long" }).format(new Date()),
    versions: `noonhold ${current.answer.versions.noonhold}`,
    year: year.year,
  });
  document.documentElement.dataset.sheet = "ready";
}

// --- the question's parts ----------------------------------------------------------------------

function set(change) {
  if (!("plan" in change) && Object.keys(change).some(endsPlan)) scenario.plan = "";
  Object.assign(scenario, change);
  places.fill();
  form.show();
  changed();
}

// A battery settles only with its cabin: what is chosen last takes the other along.
function settleTogether(name) {
  if (name === "battery" && scenario.battery === "settled") scenario.inside = "settled";
  else if (name === "inside" && scenario.inside !== "settled") scenario.battery = "number";
  else return;
  form.show();
}

// Far from every station: a day is proposed by latitude and season, and the page says so.
function describeTheDay() {
  set({ day: "like", ...proposedDay(scenario.latitude) });
}

async function likeTheHottestDay() {
  if (scenario.where === "point") {
    const nearest = await source.nearest(scenario.latitude, scenario.longitude).catch(() => null);
    if (isFar({ nearest })) {
      describeTheDay();
      return;
    }
  }
  const likely = likelyDay(scenario, current?.climate);
  if (!likely) return;
  Object.assign(scenario, likely);
  form.show();
}

// --- beginning ---------------------------------------------------------------------------------

async function begin() {
  try {
    await source.open();
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    meet(error);
    if (error.status !== 401) later("retry", (error.waitS || RETRY_S) * 1000, begin);
    return;
  }
  rigs.fill();
  beside.fill();
  await take(location.hash);
}

// The scenario of a link; what it does not say is chosen so that there is an answer at once.
async function take(fragment) {
  const said = await scenarioOf(fragment);
  Object.assign(scenario, DEFAULTS, said);
  const knownRig = scenario.rig === OWN || source.rigs.some((each) => each.id === scenario.rig);
  if (!knownRig) scenario.rig = source.rigs[0]?.id ?? OWN;
  if (!scenario.station) scenario.station = source.stations[0]?.id ?? "";
  if (!scenario.station && !said.where) Object.assign(scenario, { where: "point", day: "like" });
  if (!said.month && scenario.station) {
    try {
      const { months } = await source.year(scenario.station);
      scenario.month = months.reduce((a, b) => (b.mean_high_c > a.mean_high_c ? b : a)).month;
    } catch {
      // The question itself will say what is wrong with this station.
    }
  }
  paper.write(scenario.rig_text);
  rigs.fill();
  places.fill();
  form.showUnits();
  await ask();
}

for (const [name, id] of [["temperature", "reading-temperature"], ["measures", "reading-measures"], ["colours", "reading-colours"]]) {
  by(id).value = reading[name];
  by(id).addEventListener("change", (event) => {
    remember({ [name]: event.target.value });
    look();
    form.showUnits();
    if (!current) return;
    current.context = contextWords(scenario, current, current.answer, form);
    studies.retell();
    year.show();
    beside.show();
    tellParts({ ...current, day: firstDay(scenario, current.climate) });
    by("site-facts").textContent = siteWords(scenario, current.site);
    by("day-facts").textContent = dayWords(scenario, current.site, current.climate, firstDay(scenario, current.climate));
    laySoon();
  });
}

// On a narrow page the question folds to one line; its parts open one by one, and stay as they were.
const wide = matchMedia("(min-width: 62rem)");
by("fold").open = wide.matches;
wide.addEventListener("change", () => (by("fold").open = wide.matches));
keepOpen([...document.querySelectorAll("details.part")]);
// What the keyboard goes to is never under the bar.
new ResizeObserver(() => {
  document.documentElement.style.setProperty("--bar-height", `${by("bar").offsetHeight}px`);
}).observe(by("bar"));

function look() {
  document.documentElement.dataset.colours = reading.colours;
}

look();
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => show.draw());
by("afresh").addEventListener("click", () => take(""));
by("bounds").addEventListener("change", (event) => {
  clearTimeout(timers.range);
  if (!current) return;
  studies.bounds = null;
  if (event.target.checked) studies.ask("range", controller.signal);
  else show.answer(current, null);
});
wireTakes(() => current, async () => {
  // The sheet has its calendar where the place has a year.
  await year.ask();
  await lay();
});
onKey(begin);
addEventListener("hashchange", () => take(location.hash));
begin();
workOffline();
