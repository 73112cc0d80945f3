// The page: the question beside its answer. It asks the service and computes nothing of its own.

import { keepKey, post, Trouble } from "./asking.js";
import { by, make } from "./dom.js";
import { faultsWords, faultWords } from "./fault_words.js";
import { QuestionForm } from "./form.js";
import { fragmentOf, scenarioOf } from "./link.js";
import { Outside } from "./outside.js";
import { PlacesPart } from "./places_part.js";
import { OWN } from "./question_of.js";
import { partWords, questionLine } from "./question_words.js";
import { RigPaper } from "./rig_paper.js";
import { DEFAULTS, documentOf, fieldOf, firstDay } from "./scenario.js";
import { keepOpen } from "./open_parts.js";
import { layOut } from "./sheet.js";
import { changeWords, Show } from "./show.js";
import { Source } from "./source.js";
import { SideBySide } from "./side_by_side.js";
import { STUDIES, Studies } from "./studies.js";
import { proposedDay } from "./proposed_day.js";
import { askedWords, contextWords, dayWords, isFar, rigWords, siteWords } from "./telling.js";
import { copyText, curlLine, takeFile } from "./take.js";
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
const form = new QuestionForm(by("question"), scenario, changed);
const show = new Show((change) => {
  Object.assign(scenario, change);
  form.show();
  changed();
});
const studies = new Studies(show, later, laySoon);
const places = new PlacesPart(source, scenario, set);
const outside = new Outside();
const year = new YearPart((month, day_of_month) => set({ day: "date", month, day_of_month }), laySoon);
const beside = new SideBySide(source, scenario, rigsToChoose, (kept) => set({ ...kept }));
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
  if (name === "day" && scenario.day === "like") likeTheHottestDay();
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
    show.answer(current, null);
    by("curl").textContent = curlLine(current.request);
    state("answered");
    answers += 1;
    document.documentElement.dataset.answers = String(answers);
    studies.begin(current, signal);
    year.begin(current, signal);
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
  const folding = !rig.arrays || rig.arrays.some?.((each) => each?.folding);
  by("panel-facts").textContent = folding ? "" : "This rig has no set-out panel; an awning is packed with it.";
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

function askKey() {
  const dialog = by("key-dialog");
  if (!dialog.open) dialog.showModal();
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
    when: `${current.answer.rig} · noonhold ${current.answer.versions.noonhold}`,
  });
  document.documentElement.dataset.sheet = "ready";
}

// --- the question's parts ----------------------------------------------------------------------

function set(change) {
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
  const climate = current?.climate;
  if (scenario.where === "point") {
    const { latitude, longitude } = scenario;
    const nearest = await source.nearest(latitude, longitude).catch(() => null);
    if (isFar({ nearest })) {
      describeTheDay();
      return;
    }
  }
  const untouched = ["high_c", "low_c", "dew_point_c", "date"].every((each) => scenario[each] === DEFAULTS[each]);
  if (!climate || !untouched) return;
  const day = climate.hottest_day;
  const tenth = (value) => Math.round(value * 10) / 10;
  Object.assign(scenario, {
    date: `${new Date().getFullYear()}-${day.first_day}`,
    high_c: tenth(day.high_c),
    low_c: tenth(day.low_c),
    dew_point_c: tenth(Math.min(day.mean_dew_point_c, day.high_c)),
  });
  form.show();
}

async function copyRig() {
  const { rig } = await source.rig(scenario.rig);
  const { notes: _, ...document } = rig;
  scenario.rig_text = JSON.stringify(document, null, 2);
  scenario.rig = OWN;
  paper.write(scenario.rig_text);
  form.show();
  changed("rig");
  by("rig-own").hidden = false;
  by("rig-text").focus();
}

function rigsToChoose() {
  return source.rigs.map((each) => ({ id: each.id, name: each.name, change: { rig: each.id } }));
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
  by("rig").replaceChildren(
    ...source.rigs.map((each) => make("option", { value: each.id }, each.name)),
    make("option", { value: OWN }, "a rig of my own…"),
  );
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
by("rig-copy").addEventListener("click", copyRig);
by("afresh").addEventListener("click", () => take(""));
by("bounds").addEventListener("change", (event) => {
  clearTimeout(timers.range);
  if (!current) return;
  studies.bounds = null;
  if (event.target.checked) studies.ask("range", controller.signal);
  else show.answer(current, null);
});
by("take-link").addEventListener("click", () => copyText(outside.link(), outside.said()));
by("take-curl").addEventListener("click", () => copyText(by("curl").textContent, "The curl line is copied."));
by("take-print").addEventListener("click", async () => {
  await lay();
  print();
});
for (const kind of ["csv", "png", "json"]) {
  by(`take-${kind}`).addEventListener("click", async () => {
    by("take-says").textContent = "";
    try {
      await takeFile(kind, current.request, current.answer, "noonhold");
    } catch (error) {
      by("take-says").textContent = error.message;
    }
  });
}
by("key-dialog").addEventListener("close", () => {
  const key = by("key").value.trim();
  by("key").value = "";
  if (by("key-dialog").returnValue !== "use" || !key) return;
  keepKey(key);
  by("key-says").textContent = "The key was not taken. Perhaps a letter is missing.";
  begin();
});
addEventListener("hashchange", () => take(location.hash));
for (const zone of Intl.supportedValuesOf("timeZone")) by("zones").append(make("option", { value: zone }));
begin();
