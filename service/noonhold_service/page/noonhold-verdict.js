/* <noonhold-verdict>: the verdict of one question, for any website. One file, no build, no imports.

   <script src="https://SERVICE/page/noonhold-verdict.js" defer></script>
   <noonhold-verdict service="https://SERVICE" degrees="F">
     <script type="application/json">{ "rig": "...", "place": {...}, ... }</script>
   </noonhold-verdict>

   Attributes
     service   address of the service; without it that of this script
     request   the request for POST /v1/projections as JSON, instead of the script inside
     degrees   C (usual) or F
     page      address of the page to link to, or "none"
   Property `request` (an object) asks anew. Event `verdict` carries the answer in `detail`, event
   `trouble` the problem. The service must list the website under NOONHOLD_ALLOWED_ORIGINS.
   Parts for styles of one's own: box, word, sentence, horizons, caution.
   The caution always stands with the verdict. */
(() => {
  const home = new URL(document.currentScript?.src ?? location.href).origin;
  const MARKS = { holds: ["●", "Holds"], narrowly: ["◐", "Holds narrowly"], fails: ["▲", "Fails"] };
  const STYLE = `
    :host { display: block; color-scheme: light dark; }
    .box { border: 1px solid #768580; border-left-width: 6px; padding: 0.7em 1em; font-family: inherit; color: light-dark(#16211f, #e7ece8); background: light-dark(#fbfcfa, #1a2224); }
    .box[data-verdict="holds"] { border-left-color: #0b5a3c; }
    .box[data-verdict="narrowly"] { border-left: 6px dashed #8a5a00; }
    .box[data-verdict="fails"] { border-left: 6px double #9b2410; }
    p { margin: 0 0 0.4em; }
    .word { font-weight: 700; font-size: 1.15em; }
    dl { display: flex; flex-wrap: wrap; gap: 0.2em 1.4em; margin: 0 0 0.5em; }
    dt { font-size: 0.85em; } dd { margin: 0; font-weight: 600; }
    .caution { border-left: 4px solid #8a5a00; padding-left: 0.6em; font-size: 0.9em; }
    a { color: light-dark(#0d4f53, #8fd0cf); }`;
  const DEGREES = /(-?\d+(?:\.\d+)?)\s?°C(\s(?:higher|lower|warmer|cooler|hotter|above|below|over|under|more|less)\b)?/g;

  const make = (name, part, text) => {
    const element = document.createElement(name);
    if (part) Object.assign(element, { className: part }).setAttribute("part", part);
    element.textContent = text ?? "";
    return element;
  };
  const holding = (days) => (days === 1 ? "1 day" : `${days} days`);

  class NoonholdVerdict extends HTMLElement {
    static observedAttributes = ["service", "request", "degrees", "page"];

    constructor() {
      super();
      const root = this.attachShadow({ mode: "open" });
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(STYLE);
      root.adoptedStyleSheets = [sheet];
    }

    connectedCallback() {
      this.ask();
    }

    attributeChangedCallback(name) {
      if (!this.isConnected) return;
      if (name === "degrees" || name === "page") this.show();
      else this.ask();
    }

    set request(document) {
      this.setAttribute("request", JSON.stringify(document));
    }

    get request() {
      const text = this.getAttribute("request") ?? this.querySelector('script[type="application/json"]')?.textContent;
      return text ? JSON.parse(text) : null;
    }

    get service() {
      return (this.getAttribute("service") || home).replace(/\/$/, "");
    }

    async ask() {
      this.controller?.abort();
      this.controller = new AbortController();
      const { signal } = this.controller;
      let request;
      try {
        request = this.request;
      } catch {
        this.fail("The request is not JSON.");
        return;
      }
      if (!request) return;
      try {
        const response = await fetch(`${this.service}/v1/projections`, {
          method: "POST", signal, body: JSON.stringify(request),
          headers: { "Content-Type": "application/json", Accept: "application/json" },
        });
        const answer = await response.json();
        if (!response.ok) {
          this.fail(answer.errors?.map((each) => each.detail).join("; ") || answer.detail || `status ${response.status}`, answer);
          return;
        }
        this.answer = answer;
        this.show();
        this.dispatchEvent(new CustomEvent("verdict", { detail: answer }));
      } catch (error) {
        if (error.name !== "AbortError") this.fail("The service does not answer.", error);
      }
    }

    fail(words, detail = null) {
      this.answer = null;
      const box = make("div", "box");
      box.append(make("p", "word", "No verdict"), make("p", "sentence", words));
      this.shadowRoot.replaceChildren(box);
      this.dispatchEvent(new CustomEvent("trouble", { detail }));
    }

    inDegrees(text) {
      if ((this.getAttribute("degrees") ?? "C").toUpperCase() !== "F") return text;
      return text.replace(DEGREES, (_, number, compared = "") => {
        const shown = Number(number) * 1.8 + (compared ? 0 : 32);
        return `${Math.round(shown * 10) / 10} °F${compared}`;
      });
    }

    show() {
      if (!this.answer) return;
      const { summary, cautions } = this.answer;
      const [mark, word] = MARKS[summary.verdict] ?? ["○", "Not judged"];
      const box = make("div", "box");
      box.dataset.verdict = summary.verdict ?? "";
      box.setAttribute("role", "group");
      box.setAttribute("aria-label", "Verdict");
      const horizons = make("dl", "horizons");
      const add = (name, text) => {
        const part = document.createElement("div");
        part.append(make("dt", "", name), make("dd", "", text));
        horizons.append(part);
      };
      const daily = MARKS[summary.sustained?.verdict];
      if (daily) add("Day after day", `${daily[0]} ${daily[1].toLowerCase()}`);
      if (summary.stay) add("Arriving full", summary.stay.first_failure ? holding(summary.stay.days) : `${holding(summary.stay.days)} and more`);
      box.append(make("p", "word", `${mark} ${word}`), make("p", "sentence", this.inDegrees(summary.sentence)), horizons, make("p", "caution", cautions[0]));
      const page = this.getAttribute("page") ?? `${this.service}/page/`;
      if (page !== "none") {
        const link = make("a", "", "Ask with other values");
        link.href = page;
        box.append(link);
      }
      this.shadowRoot.replaceChildren(box);
    }
  }
  if (!customElements.get("noonhold-verdict")) customElements.define("noonhold-verdict", NoonholdVerdict);
})();
