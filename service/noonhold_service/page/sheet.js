// The sheet for the customer: one page of A4 or Letter with the answer, one chart, one calendar,
// what was assumed, and the cautions.

import { assumptionLine } from "./assumption_words.js";
import { lines, temperatures } from "./charts.js";
import { make } from "./dom.js";
import { palette, swatch } from "./palette.js";
import { remediesOf, remedyWords } from "./remedies.js";
import { chanceWords, horizons, sentence, stamp } from "./verdict_words.js";
import { figures } from "./words.js";
import { calendar, keyOfYear } from "./year_calendar.js";
import { yearWords } from "./year_part.js";

const DRAWN_PX = 1480;
const SIZE = 2.1; // of the chart's type and lines: 12 px become 8 pt and more on paper

export async function layOut(host, view, asked, changed, told) {
  const { answer } = view;
  const colours = palette(true);
  const { word, mark } = stamp(answer);
  const mended = answer.summary.verdict === "holds" ? [] : (remediesOf(answer) ?? []).map(remedyWords);
  const { assumptions } = told.advised ?? answer;
  const chance = chanceWords(told.advised ?? answer);
  const picture = await drawn(temperatures, view, colours, 250);
  const assumed = assumedLines(assumptions);
  const fill = (count) =>
    host.replaceChildren(
      heading(told),
      make("h1", {}, `${mark} ${word}`),
      make("p", { class: "said" }, [sentence(answer), chance && `${chance}.`].filter(Boolean).join(" ")),
      list("horizons", horizons(answer).map(([name, state, more]) => [name, `${state.mark} ${state.word}`, more])),
      make("ul", { class: "caution" }, ...answer.cautions.map((each) => make("li", {}, each))),
      make("h2", {}, "What was asked"),
      list("asked", asked),
      make("h2", {}, "The answer"),
      list("got", figures(answer)),
      make("h2", {}, "Temperatures"),
      key(lines(view).map(([name, label]) => [name, label, "line"]), colours),
      picture,
      ...yearPart(told.year),
      ...(mended.length ? [make("h2", {}, "What would mend it"), run(mended)] : []),
      ...(changed.length ? [make("h2", {}, "What would change the answer most, biggest effects first"), run(changed)] : []),
      make("h2", {}, `${assumptions.length} defaults used${count < assumed.length ? `, those that matter most; ${assumed.length - count} more stand in the answer's file` : ""}`),
      run(assumed.slice(0, count)),
    );
  fit(host, fill, assumed.length);
}

// On the lower of the two papers everything has its place; where it is tight, the defaults that
// move the verdict least are counted instead of listed. Nothing is cut.
function fit(host, fill, most) {
  host.classList.add("measured");
  let count = most;
  fill(count);
  while (count > 6 && host.scrollHeight > host.clientHeight) {
    count = Math.max(6, count - Math.max(1, Math.ceil(((host.scrollHeight - host.clientHeight) / 14) * 2)));
    fill(count);
  }
  host.classList.remove("measured");
}

function heading({ builder, place, when, versions }) {
  const { name, contact, customer, logo } = builder;
  return make("header", {},
    ...(logo ? [make("img", { src: logo, alt: "", class: "logo" })] : []),
    make("div", { class: "who" }, make("b", {}, name || "Noonhold"), contact ? make("span", {}, contact) : null),
    make("div", { class: "for" }, customer ? make("b", {}, `For ${customer}`) : null, make("span", {}, `${place}, ${when}`)),
    make("div", { class: "what" }, make("span", {}, "a projection, not a measurement"), make("span", {}, versions)));
}

function yearPart(year) {
  if (!year) return [];
  const host = make("table", { class: "year" });
  calendar(host, year.days);
  return [make("h2", {}, "The year"), make("p", {}, yearWords(year)), keyOfYear(), host];
}

// Those that decide first, then the question's own, then the rig's; alike ones, of several parts, once.
function assumedLines(assumptions) {
  const list = assumptions.toSorted((a, b) =>
    Boolean(b.decisive) - Boolean(a.decisive) || a.path.startsWith("/rig") - b.path.startsWith("/rig"));
  return [...new Set(list.map(assumptionLine))];
}

const run = (texts, kind = "run") => make("ul", { class: kind }, ...texts.map((each) => make("li", {}, each)));

function list(kind, rows) {
  return make(
    "dl",
    { class: kind },
    ...rows.map(([name, text, more]) =>
      make("div", {}, make("dt", {}, name), make("dd", {}, text, more ? make("small", {}, more) : null)),
    ),
  );
}

const key = (entries, colours) =>
  make("ul", { class: "key" }, ...entries.map(([name, label, kind]) => make("li", {}, swatch(name, colours, kind), label)));

async function drawn(draw, view, colours, height) {
  const host = make("div", { class: "offstage" });
  host.style.position = "fixed";
  host.style.left = "-9999px";
  document.body.append(host);
  const made = draw(host, view, { colours, width: DRAWN_PX, height, size: SIZE });
  // uPlot draws in a microtask of its own.
  await new Promise((done) => setTimeout(done, 0));
  const picture = make("img", { src: made.ctx.canvas.toDataURL("image/png"), alt: "", class: "drawn-chart" });
  made.destroy();
  host.remove();
  await picture.decode().catch(() => undefined);
  return picture;
}
