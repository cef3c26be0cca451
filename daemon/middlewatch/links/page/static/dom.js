// The few things the page does with its document.

/** Make an element: its name, its properties (`on…` listeners, `class`, aria and data as attributes), what is in it. */
export function make(name, properties = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else element.setAttribute(key, value === true ? "" : value);
  }
  element.append(...inside.filter((each) => each !== null && each !== undefined));
  return element;
}

/** A button that says what it does. */
export const button = (words, press, properties = {}) => make("button", { type: "button", onclick: press, ...properties }, words);

/** Write words into an element, where they are not there already: an unchanged page costs nothing and is not read out. */
export function write(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

/** Let an element hold these children, keeping it as it is where they are made of the same as last time. */
export function renew(element, made_of, children) {
  const key = JSON.stringify(made_of);
  if (element.dataset.madeOf === key) return;
  element.dataset.madeOf = key;
  element.replaceChildren(...children());
}

/** Say something to whoever does not look: politely, or at once. */
export function say(words, { atOnce = false } = {}) {
  const region = document.getElementById(atOnce ? "called" : "said");
  region.textContent = "";
  region.textContent = words;
}
