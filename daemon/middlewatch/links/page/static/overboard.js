// Overboard: one press stamps the moment, on any view, link or no link; then the way back, big, each second.
//
// What leads back is heading and log; what satellites marked stands beside it, smaller, and says that it is fixed
// to the earth. While the link is down the press waits on this device with its own time, as a sight does.

import { boat, boatNow, linkUp, moment } from "./boat.js";
import { button, make, renew, say, write } from "./dom.js";
import { enter, letGo, waiting as queued } from "./queue.js";
import { ago, clock, kn, sentence, three } from "./words.js";

const SURE_MS = 6000; // how long a second press is waited for
const METRES_UNTIL_NM = 0.5;
const CALLS = "This page calls no one: call on VHF and DSC yourself. An aid: keep eyes on the casualty.";

const pressedHere = []; // presses of this page that the daemon has not told of yet
let parts = null;

const casualties = () => (boat.overboard ? boat.overboard.casualties.filter((each) => each.state === "standing") : []);

/** Somebody is overboard: the press. While one stands already it only says where, for hands press twice. */
export function press() {
  if (boat.hello.role !== "skipper") return say("This page is for looking: call the skipper.", { atOnce: true });
  if (casualties().length || waiting().length) return say(words(casualties()[0]), { atOnce: true });
  another();
}

/** Another one is overboard while the first stands. */
function another() {
  const at = boat.position;
  const heading = at && at.heading_true_deg !== null ? `heading ${three(at.heading_true_deg)} T` : "heading not known";
  const speed = at && at.speed_kn !== null ? kn(at.speed_kn) : "speed not known";
  const when = moment();
  const { id, answer } = enter("order", { kind: "overboard" }, when);
  const here = { id, when, stamped: `${heading}, ${speed}`, problem: "" };
  pressedHere.push(here);
  void answer.then((told) => { here.problem = told.accepted ? "" : told.reason || told.problem || ""; });
  say(`Overboard. ${CALLS}`, { atOnce: true });
  refresh();
}

// What was pressed before this page was loaded anew waits in the queue still.
function takeUp() {
  for (const item of queued()) {
    if (item.body.kind !== "overboard" || pressedHere.some((here) => here.id === item.body.id)) continue;
    pressedHere.push({ id: item.body.id, when: item.when, stamped: "before this page was loaded anew", problem: item.problem || "" });
  }
}

// A press is waited for until the daemon tells of it, or of its end.
function waiting() {
  const told = new Set([...(boat.overboard ? boat.overboard.casualties : []).map((each) => each.id), ...withdrawn()]);
  return pressedHere.filter((each) => !told.has(each.id) && !each.over);
}

const withdrawn = () => [...boat.answers.values()].filter((each) => ["withdraw", "recovered"].includes(each.kind) && each.accepted && each.about).map((each) => each.about);

const words = (each) => (each ? sentence(each.text) : "Overboard is pressed already.");

/** Bring what stands on every view up to date. */
export function refresh() {
  takeUp();
  const panel = document.getElementById("overboard");
  const standing = casualties();
  const mine = waiting();
  for (const here of pressedHere) here.over ||= standing.some((each) => each.id === here.id);
  renew(panel, [standing.map((each) => each.id), mine.map((each) => each.id), boat.hello.role], () => build(standing, mine));
  if (!parts) return;
  for (const each of standing) tell(each);
  for (const here of mine) tellWaiting(here);
}

function build(standing, mine) {
  parts = standing.length || mine.length ? new Map() : null;
  if (!parts) return [];
  const keeper = boat.hello.role === "skipper";
  return [
    ...mine.map((here) => block(here.id, keeper)),
    ...standing.map((each) => block(each.id, keeper)),
    make("p", {}, CALLS),
    keeper ? make("div", { class: "row" }, button("Another overboard", another)) : null,
  ].filter(Boolean);
}

function block(id, keeper) {
  const part = { lead: make("p", { class: "lead value" }), area: make("p", { class: "value" }), since: make("p", { class: "small" }), beside: make("p", { class: "small value" }) };
  parts.set(id, part);
  const buttons = keeper ? make("div", { class: "row" }, sure("Recovered", () => order({ kind: "recovered", entry: id })), sure("Pressed in error", () => inError(id))) : null;
  return make("section", { "aria-label": "Overboard" }, ...[part.lead, part.area, part.since, part.beside, buttons].filter(Boolean));
}

// What ends a search is pressed twice.
function sure(named, act) {
  let until = 0;
  const each = button(named, () => {
    if (performance.now() < until) {
      until = 0;
      write(each, named);
      return act();
    }
    until = performance.now() + SURE_MS;
    write(each, `Press again: ${named.toLowerCase()}`);
    setTimeout(() => { if (performance.now() >= until) write(each, named); }, SURE_MS + 50);
  });
  return each;
}

function inError(id) {
  const here = pressedHere.find((each) => each.id === id);
  if (here && here.problem) {
    here.over = true; // it never came to anything
    letGo(id);
    return refresh();
  }
  order({ kind: "withdraw", entry: id });
}

function order(body) {
  void enter("order", body).answer.then((answer) => say(answer.effect || answer.reason || answer.problem || "Taken."));
}

function tell(each) {
  const part = parts.get(each.id);
  const figure = each.distance_nm === null ? null : far(each.distance_nm);
  const bears = each.bearing_magnetic_deg === null ? null : `${three(each.bearing_magnetic_deg)} M`;
  const lead = figure === null ? sentence(each.text) : bears ? `Overboard: bears ${bears}, ${figure}.` : `Overboard: ${figure} off.`;
  write(part.lead, lead);
  const true_ = each.bearing_true_deg === null ? "" : `${three(each.bearing_true_deg)} T. `;
  write(part.area, each.area ? `${true_}By heading and log, adrift with the water: in an area of ${far(2 * each.area.semi_major_nm)} by ${far(2 * each.area.semi_minor_nm)} there, 95 times in 100.` : "");
  const since = Date.parse(each.since);
  const holds = each.holds.length ? ` Holds: ${each.holds.join("; ")}.` : "";
  write(part.since, `Since ${clock(since)} UT, ${ago(boatNow() - since)}; worked ${ago(boatNow() - Date.parse(boat.overboard.at))}.${holds}`);
  write(part.beside, earth(each.satellite));
}

function earth(mark) {
  if (!mark) return "No satellite mark of the press.";
  if (mark.distance_nm === null) return "The satellites' mark of the press, fixed to the earth: no satellite position now.";
  const bears = mark.bearing_magnetic_deg !== null ? `bears ${three(mark.bearing_magnetic_deg)} M, ` : mark.bearing_true_deg !== null ? `bears ${three(mark.bearing_true_deg)} T, ` : "";
  return `The satellites' mark of the press, fixed to the earth and not adrift: ${bears}${far(mark.distance_nm)}.`;
}

function tellWaiting(here) {
  const part = parts.get(here.id);
  const seconds = ago(Date.now() - here.when.pressed);
  write(part.lead, `Overboard, ${seconds}.`);
  const kept = linkUp() ? "Entered; waiting for the way back." : "Kept on this device: it is entered, at its own time, as soon as the daemon is heard. Nothing leads back until then: note the reciprocal.";
  write(part.area, here.problem ? `NOT ENTERED: ${sentence(here.problem)}` : kept);
  write(part.since, `Pressed at ${clock(here.when.at)} UT: ${here.stamped}.`);
}

const far = (miles) => (miles >= METRES_UNTIL_NM ? `${miles.toFixed(2)}\u00a0nm` : `${10 * Math.round((miles * 1852) / 10)}\u00a0m`);
