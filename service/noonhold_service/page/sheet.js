// The sheet for print: the scenario, the answer, the charts, the assumptions, the cautions.

import { assumptionLine } from "./assumption_words.js";
import { lines, temperatures } from "./charts.js";
import { make } from "./dom.js";
import { palette, swatch } from "./palette.js";
import { remediesOf, remedyWords } from "./remedies.js";
import { chanceWords, horizons, sentence, stamp } from "./verdict_words.js";
import { figures } from "./words.js";

const DRAWN_PX = 1480;
const SIZE = 1.9; // of the charts' type and lines, so that they read on paper

export async function layOut(host, view, asked, changed, told) {
  const { answer } = view;
  const colours = palette(true);
  const { word, mark } = stamp(answer);
  const mended = answer.summary.verdict === "holds" ? [] : (remediesOf(answer) ?? []).map(remedyWords);
  const { assumptions } = told.advised ?? answer;
  const chance = chanceWords(told.advised ?? answer);
  host.replaceChildren(
    make("header", {}, make("span", {}, "Noonhold · a projection, not a measurement"), make("span", {}, told.when)),
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
    await drawn(temperatures, view, colours, 260),
    ...(mended.length ? [make("h2", {}, "What would mend it"), run(mended)] : []),
    ...(changed.length
      ? [make("h2", {}, "What would change the answer most, biggest effects first"), run(changed)]
      : []),
    make("h2", {}, `${assumptions.length} defaults used`),
    run(assumedLines(assumptions)),
  );
}

// The question's own first, then the rig's; alike ones, of several parts, once.
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
  const picture = make("img", { src: made.ctx.canvas.toDataURL("image/png"), alt: "" });
  made.destroy();
  host.remove();
  await picture.decode().catch(() => undefined);
  return picture;
}
