// Where the members of a JSON text stand, by JSON pointer: a fault is shown where it was written.

export class JsonSlip extends Error {
  constructor(message, offset) {
    super(message);
    this.offset = offset;
  }
}

export function placesInJson(text) {
  const places = new Map();
  let at = 0;

  const skip = () => {
    while (at < text.length && " \t\r\n".includes(text[at])) at += 1;
  };
  const slip = (message) => {
    throw new JsonSlip(message, Math.min(at, text.length));
  };
  const expect = (mark, where) => {
    skip();
    if (text[at] !== mark) slip(`expected ${mark} ${where}`);
    at += 1;
  };

  function string() {
    skip();
    const start = at;
    if (text[at] !== '"') slip("expected a name in double quotes");
    at += 1;
    while (text[at] !== '"') {
      if (at >= text.length || text[at] === "\n") slip("this text is not closed by a double quote");
      at += text[at] === "\\" ? 2 : 1;
    }
    at += 1;
    try {
      return JSON.parse(text.slice(start, at));
    } catch {
      at = start;
      return slip("this text has a character that JSON writes differently");
    }
  }

  function value(pointer) {
    skip();
    const start = at;
    const mark = text[at];
    if (mark === "{") object(pointer);
    else if (mark === "[") list(pointer);
    else if (mark === '"') string();
    else scalar();
    places.set(pointer, [start, at]);
  }

  function object(pointer) {
    at += 1;
    skip();
    if (text[at] === "}") {
      at += 1;
      return;
    }
    for (;;) {
      const name = string();
      expect(":", "after the name");
      value(`${pointer}/${name.replaceAll("~", "~0").replaceAll("/", "~1")}`);
      if (!more("}", "the object")) return;
    }
  }

  function list(pointer) {
    at += 1;
    skip();
    if (text[at] === "]") {
      at += 1;
      return;
    }
    for (let index = 0; ; index += 1) {
      value(`${pointer}/${index}`);
      if (!more("]", "the list")) return;
    }
  }

  function more(close, what) {
    skip();
    if (text[at] === close) {
      at += 1;
      return false;
    }
    if (text[at] !== ",") slip(`expected a comma, or ${close} to close ${what}`);
    at += 1;
    return true;
  }

  function scalar() {
    const found = /^(?:true|false|null|-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?)/.exec(
      text.slice(at, at + 40),
    );
    if (!found) slip(at >= text.length ? "the text ends too early" : "this is no JSON value");
    at += found[0].length;
  }

  value("");
  skip();
  if (at < text.length) slip("something stands after the end of the document");
  return places;
}

// The place itself, or that of the nearest thing around it, for a member that is missing.
export function nearestPlace(places, pointer) {
  let sought = pointer;
  while (sought && !places.has(sought)) sought = sought.slice(0, sought.lastIndexOf("/"));
  const [start, end] = places.get(sought) ?? [0, 0];
  return { start, end, missing: sought !== pointer };
}

export const lineOf = (text, offset) => text.slice(0, offset).split("\n").length;
