// Which rig: the samples, those of one's own that the browser keeps, and the one being written.

import { by, make } from "./dom.js";
import { listed } from "./own_rigs.js";
import { OWN } from "./question_of.js";
import { RigBench } from "./rig_bench.js";
import { withSize } from "./rig_facts.js";
import { STARTER } from "./rig_fields.js";

const NEW = "own:new";
const KEPT = /^own:/; // a choice that stands for a document

export class RigChoice {
  // `show` writes the scenario into the form, `asked` asks anew, `onList` follows the kept rigs.
  constructor(source, scenario, paper, { show, asked, onList }) {
    Object.assign(this, { source, scenario, paper, show, asked, onList });
    this.bench = new RigBench((text) => this.write(text), () => this.fill());
    by("rig-copy").addEventListener("click", () => this.copy());
  }

  write(text) {
    Object.assign(this.scenario, { rig: OWN, rig_text: text });
    this.paper.write(text);
    this.show();
    this.asked("rig_text");
  }

  // A choice that stands for a document becomes that document.
  settle() {
    const { scenario, bench } = this;
    if (!KEPT.test(scenario.rig)) return;
    const fresh = scenario.rig === NEW;
    const text = fresh ? JSON.stringify(STARTER, null, 2) : bench.choose(Number(scenario.rig.slice(4)));
    if (fresh) bench.id = null;
    Object.assign(scenario, { rig: OWN, rig_text: text ?? scenario.rig_text });
    this.paper.write(scenario.rig_text);
    this.fill();
  }

  fill() {
    const { scenario, source } = this;
    const option = (value, name) => make("option", { value }, name);
    const mine = listed().map(({ id, name }) => option(`own:${id}`, name));
    by("rig").replaceChildren(
      make("optgroup", { label: "Samples" }, ...source.rigs.map((each) => option(each.id, each.name))),
      ...(mine.length ? [make("optgroup", { label: "Mine" }, ...mine)] : []),
      option(NEW, "a new rig of my own…"),
      ...(scenario.rig === OWN ? [option(OWN, "the rig below")] : []),
    );
    by("rig").value = scenario.rig;
    this.onList();
  }

  // Each with the change of the question that it means.
  all() {
    const samples = this.source.rigs.map((each) => ({ id: each.id, name: each.name, change: { rig: each.id } }));
    const mine = listed().map(({ id, name, text }) => ({ id: `own:${id}`, name, change: { rig: OWN, rig_text: text } }));
    return [...samples, ...mine];
  }

  // A document from a study, or a changed copy: nothing that is kept is overwritten.
  take(rig) {
    this.bench.id = null;
    this.write(JSON.stringify(rig, null, 2));
    this.fill();
  }

  // Another size makes a rig of one's own, of a sample as of one that is kept.
  resize(rig, size) {
    const { notes: _, ...whole } = rig;
    const sized = withSize(whole, size);
    if (this.scenario.rig === OWN) this.write(JSON.stringify(sized, null, 2));
    else this.take({ ...sized, name: `${rig.name}, changed` });
  }

  async copy() {
    const { rig } = await this.source.rig(this.scenario.rig);
    const { notes: _, ...document } = rig;
    this.take({ ...document, name: `${document.name}, changed` });
    by("rig-own").hidden = false;
    by("rig-field-name")?.focus();
  }
}
