// When should it run? A plan of the day by the service, beside the day as it was asked.

import { post, Trouble } from "./asking.js";
import { by, make, table } from "./dom.js";
import { faultWords } from "./fault_words.js";
import { figure, neat } from "./units.js";
import { stateOf } from "./verdict_words.js";

const MOST_RUNS = 400;
const POLICIES = { low_then_high: "low, high where needed", low_only: "low only", high_only: "high only", fan_only: "fan only", off: "off" };

export class PlanPart {
  // `onPlan` takes the plan's operation over as text.
  constructor(onPlan) {
    Object.assign(this, { onPlan, current: null });
    by("plan-ask").addEventListener("click", () => this.ask());
    by("plan-drop").addEventListener("click", () => onPlan(""));
  }

  begin(current) {
    this.current = current;
    by("plan-says").textContent = "";
    by("plan-table").replaceChildren();
    by("plan-take").replaceChildren();
    by("plan-taken").hidden = !current.scenario.plan;
  }

  async ask() {
    const { current } = this;
    if (!current) return;
    by("plan-says").textContent = "Trying some hundred plans…";
    try {
      const found = await post("/v1/plans", { projection: current.request, most_runs: MOST_RUNS });
      if (current === this.current) this.show(found);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      by("plan-says").textContent = error.faults.map(faultWords).join("; ") || error.message;
    }
  }

  show({ operation, figures, as_asked: asked }) {
    const words = (each) => {
      const { mark, word } = stateOf(each.verdict, each.first_cause);
      return `${mark} ${word[0].toLowerCase()}${word.slice(1)}, battery lowest ${figure("share", each.lowest_charge)}`;
    };
    by("plan-says").textContent = `With this plan: ${words(figures)}. As asked: ${words(asked)}.`;
    const spans = (operation.spans ?? []).filter((each) => "set_point_c" in each || "policy" in each);
    table(by("plan-table"), ["Hours", "Set point", "Stages"], [
      ["else, while it may run", neat("temperature", operation.set_point_c), POLICIES[operation.policy] ?? operation.policy],
      ...spans.map((each) => [
        `${each.from} to ${each.to}`,
        neat("temperature", each.set_point_c ?? operation.set_point_c), POLICIES[each.policy ?? operation.policy] ?? "",
      ]),
    ], { numeric: [1] });
    by("plan-take").replaceChildren(make("button", { type: "button", onclick: () => this.onPlan(JSON.stringify(operation)) }, "Take this plan"));
  }
}
