// What the browser keeps for its reader; one that keeps nothing still works until it is closed.

const inMemory = new Map();

export function kept(name, fallback) {
  try {
    const text = localStorage.getItem(`noonhold.${name}`);
    return text === null ? (inMemory.get(name) ?? fallback) : JSON.parse(text);
  } catch {
    return inMemory.get(name) ?? fallback;
  }
}

// Whether it will still be there after a reload.
export function keep(name, value) {
  inMemory.set(name, value);
  try {
    localStorage.setItem(`noonhold.${name}`, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}
