// What this device keeps between visits. One that keeps nothing forgets when the page is closed, and no sooner.

const inMemory = new Map();

/** What is kept under a name, or `otherwise`. */
export function kept(name, otherwise) {
  try {
    const text = localStorage.getItem(`middlewatch.${name}`);
    return text === null ? (inMemory.get(name) ?? otherwise) : JSON.parse(text);
  } catch {
    return inMemory.get(name) ?? otherwise;
  }
}

/** Keep something under a name. */
export function keep(name, value) {
  inMemory.set(name, value);
  try {
    localStorage.setItem(`middlewatch.${name}`, JSON.stringify(value));
  } catch {
    // It is in memory; the page says nothing, for it does all it can.
  }
}
