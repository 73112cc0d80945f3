// The sheet for print: the scenario, the answer, the charts, the assumptions, the cautions.

import { charge, inUse, lines, POWERS_IN, POWERS_OUT, temperatures } from "./charts.js";
import { make } from "./dom.js";
import { assumptionWords } from "./show.js";
import { palette, swatch } from "./palette.js";
import { figures, sentence, stamp } from "./words.js";

const DRAWN_PX = 1480;
const SIZE = 1.9; // of the charts' type and lines, so that they read on paper

const MOST_LETTERS = 2400; // what the sheet has room for; its style cuts the rest

export async function layOut(host, view, asked, changed, told) {
  const colours = palette(true);
  const { word, mark, holds } = stamp(view.answer);
  host.replaceChildren(
    make("header", {}, make("span", {}, "Noonhold · a projection, not a measurement"), make("span", {}, told.when)),
    make("h1", {}, `${mark} ${holds === "no" ? `${word.split(":")[0]}. ` : ""}${sentence(view.answer)}`),
    make("h2", {}, "The question"),
    list("asked", asked),
    make("h2", {}, "The answer"),
    list("got", figures(view.answer)),
    make("ul", { class: "caution" }, ...view.answer.cautions.map((each) => make("li", {}, each))),
    make("h2", {}, "Temperatures"),
    key(lines(view).map(([name, label]) => [name, label, "line"]), colours),
    await drawn(temperatures, view, colours, 350),
    make("h2", {}, "Charge (line), power in (up) and out (down)"),
    key(
      [
        ["charge", "charge", "line"],
        ...[...inUse(view.hours, POWERS_IN), ...inUse(view.hours, POWERS_OUT)].map(([name, label]) => [name, label, "area"]),
      ],
      colours,
    ),
    await drawn(charge, view, colours, 370),
    ...(changed.length
      ? [make("h2", {}, "What would change the answer most"), run(changed)]
      : []),
    make("h2", {}, `What was assumed (${view.answer.assumptions.length}; all of it stands in the JSON answer)`),
    run(assumedLines(view.answer.assumptions), "run small"),
  );
}

// The question's own assumptions first, then the rig's, as many as there is room for.
function assumedLines(assumptions) {
  const list = assumptions.toSorted(
    (a, b) => a.path.startsWith("/rig") - b.path.startsWith("/rig"),
  );
  const lines = [];
  let letters = 0;
  for (const each of list) {
    const text = assumptionWords(each).join("");
    letters += text.length + 3;
    if (letters > MOST_LETTERS) return [...lines, `and ${list.length - lines.length} more`];
    lines.push(text);
  }
  return lines;
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
