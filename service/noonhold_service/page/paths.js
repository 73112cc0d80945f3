// Values in a document by their path, read and changed without touching the original.

export const pointerOf = (path) => path.map((each) => `/${each}`).join("");

export const valueAt = (document, path) => path.reduce((part, name) => part?.[name], document);

// A copy with the value at its place; undefined takes it away.
export function withValue(document, [name, ...rest], value) {
  const base = document ?? (typeof name === "number" ? [] : {});
  const copy = Array.isArray(base) ? [...base] : { ...base };
  if (rest.length) copy[name] = withValue(copy[name], rest, value);
  else if (value === undefined && Array.isArray(copy)) copy.splice(name, 1);
  else if (value === undefined) delete copy[name];
  else copy[name] = value;
  return copy;
}
