// The log: what was entered and what was said, the newest first, as a navigator would note it.

import { boat } from "./boat.js";
import { button, make, renew } from "./dom.js";
import { letGo, waiting } from "./queue.js";
import { clock } from "./words.js";

let list = null;

/** Build the view. */
export function show(view) {
  list = make("ol", { class: "log", reversed: true });
  view.append(make("h2", {}, "The log, newest first, in UT"), list);
}

/** Bring the view up to date. */
export function refresh() {
  const unsent = waiting();
  renew(list, [boat.notes.length, boat.notes.at(-1), unsent], () => [
    ...unsent.map(notYet).reverse(),
    ...boat.notes.slice(-200).reverse().map(noted),
    ...(boat.notes.length ? [] : [make("li", {}, "Nothing has been noted since the daemon came up.")]),
  ]);
}

function notYet(item) {
  const what = `${item.body.kind.replace("_", " ")} ${item.body.id}`;
  if (!item.problem) return make("li", { class: "old" }, `On its way, not answered yet: ${what}${item.when === null ? "" : ` of ${clock(item.when.at)}`}.`);
  return make("li", {}, `NOT ENTERED: ${what}, for ${item.problem}.`, button("I have read it", () => letGo(item.body.id)));
}

function noted(note) {
  return make("li", { class: "value" }, make("time", { datetime: note.at }, clock(Date.parse(note.at))), note.sentences.join(" "));
}
