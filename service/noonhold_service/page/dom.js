// Small helpers to make elements; text only, never markup from an answer.

export const by = (id) => document.getElementById(id);

export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "onclick") element.addEventListener("click", value);
    else if (value !== null && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...children.filter((each) => each !== null && each !== undefined));
  return element;
}

export function svg(name, attributes = {}, text = "") {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text) element.textContent = text;
  return element;
}

export function table(host, heads, rows, { numeric = [], caption = "" } = {}) {
  const row = (cells, name, scope) =>
    make(
      "tr",
      {},
      ...cells.map((each, index) => {
        const head = name === "th" || index === 0;
        return make(
          head ? "th" : "td",
          {
            class: numeric.includes(index) ? "number" : null,
            scope: head ? (scope ?? "row") : null,
            "data-head": head ? null : heads[index],
          },
          each,
        );
      }),
    );
  host.replaceChildren(
    ...(caption ? [make("caption", {}, caption)] : []),
    make("thead", {}, row(heads, "th", "col")),
    make("tbody", {}, ...rows.map((cells) => row(cells, "td"))),
  );
}
