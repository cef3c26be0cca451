// Keys: every view and every act has one, and three of them do for a remote.
//
// The remote's *repeat* says the newest again and steps to the next thing that can be pressed; *sight* presses
// what was stepped to, and else freezes a sight; *acknowledge* acknowledges the gravest alert.

import { boat, standing } from "./boat.js";
import { acknowledgeGravest, quiet } from "./alerts.js";
import { say } from "./dom.js";
import * as overboard from "./overboard.js";
import * as sheet from "./sheet.js";
import * as sight from "./sight.js";
import { sentence } from "./words.js";

const STEPPED_MS = 20000; // how long what was stepped to waits to be pressed
let steppedAt = -Infinity;

/** Listen to keys; `go(view)` shows a view, `current()` names the one shown. */
export function listenToKeys(go, current) {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || !boat.hello) return;
    const remote = remoteKey(event.key);
    if (event.key === "Escape") document.activeElement.blur(); // out of a field, so that letters are keys again
    const typing = event.target.matches("input, textarea, select");
    // A key of a remote that types nothing works everywhere; a letter only where nobody is typing.
    if (typing && !(remote && event.key.length > 1)) return;
    if (remote ? press(remote, go) : plain(event.key, go, current)) event.preventDefault();
  });
}

/** Which key does what, in words; `remote`: the three of a remote. */
export const keysInWords = (remote) =>
  `Keys: ${remote.overboard} overboard; ${remote.sight} sight now, three digits enter a bearing, u undo; ${remote.acknowledge} acknowledge, q quiet for 10 min, ${remote.repeat} say the newest again and step on, ` +
  `then ${remote.sight} presses what was stepped to. Views: n now, p sheet, w alerts, l log. On the sheet: + - 0 and the arrows, e on her EP, page down and page up from sheet to sheet. Escape leaves a field.`;

function remoteKey(key) {
  return Object.keys(boat.hello.keys).find((name) => boat.hello.keys[name] === key);
}

function press(name, go) {
  if (name === "acknowledge") {
    if (!acknowledgeGravest()) say("No alert waits to be acknowledged.");
  } else if (name === "overboard") overboard.press();
  else if (name === "repeat") repeat();
  else if (performance.now() - steppedAt < STEPPED_MS && steppable().includes(document.activeElement)) {
    steppedAt = performance.now();
    document.activeElement.click();
  } else {
    sight.freeze();
    go("sight");
  }
  return true;
}

const steppable = () => [...document.querySelectorAll("#overboard button, main button:not(:disabled), main summary, nav button")].filter((each) => each.checkVisibility());

function repeat() {
  const newest = standing()[0];
  say(newest ? `${newest.priority}: ${newest.text}` : sentence((boat.advice && boat.advice.text) || "No alert stands"));
  const all = steppable();
  const next = all[(all.indexOf(document.activeElement) + 1) % all.length];
  steppedAt = performance.now();
  next.focus();
  next.scrollIntoView({ block: "nearest" });
}

function plain(key, go, current) {
  const views = { n: "now", p: "sheet", w: "alerts", l: "log" };
  if (/^\d$/.test(key) && current() === "sight") sight.digit(key);
  else if (key in views) go(views[key]);
  else if (key === "u") return sight.undo();
  else if (key === "q") quiet();
  else if (current() === "sheet") return sheet.key(key);
  else return false;
  return true;
}
