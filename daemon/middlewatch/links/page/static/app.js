// The page: which view is shown, and what stands round it.

import { boat, boatNow, linkUp, listen, openFeed, stale } from "./boat.js";
import { button, make, renew, say, write } from "./dom.js";
import * as alerts from "./alerts.js";
import * as log from "./log.js";
import * as now from "./now.js";
import * as overboard from "./overboard.js";
import * as sheet from "./sheet.js";
import * as sight from "./sight.js";
import { keysInWords, listenToKeys } from "./keys.js";
import { waiting } from "./queue.js";
import { isOn, play, soundOff, soundOn } from "./sound.js";
import { keep, kept } from "./store.js";
import { clock, sentence, zoneMinutes } from "./words.js";

const VIEWS = { now, sight, sheet, alerts, log };
const root = document.documentElement;
const view = document.getElementById("view");
let current = "now";

// --- views ---------------------------------------------------------------------------------------------------

function go(name) {
  current = name;
  document.body.dataset.view = name;
  view.replaceChildren();
  for (const each of document.querySelectorAll("nav [data-view]")) {
    if (each.dataset.view === name) each.setAttribute("aria-current", "page");
    else each.removeAttribute("aria-current");
  }
  VIEWS[name].show(view, look);
  view.scrollTop = 0;
  refresh();
}

function press(name) {
  if (name === "sight") sight.freeze();
  go(name);
}

function refresh() {
  if (!boat.hello) return;
  tellTime();
  tellStale();
  tellQueue();
  overboard.refresh();
  VIEWS[current].refresh();
}

// Whatever is told is shown with the next frame; ages and staleness go on by themselves.
let due = false;
function refreshSoon() {
  if (due) return;
  due = true;
  requestAnimationFrame(() => {
    due = false;
    refresh();
  });
}

// --- what stands round every view ----------------------------------------------------------------------------

function tellTime() {
  if (!boat.position) return;
  const ut = boatNow();
  const minutes = zoneMinutes(boat.hello.zone);
  const ship = minutes ? `, ${clock(ut + 60000 * minutes)} on board (${boat.hello.zone})` : ", on board the same";
  write(document.getElementById("clock"), linkUp() ? `${clock(ut)} UT${ship}` : `${clock(ut)} UT${ship}, by this device`);
  write(document.getElementById("sound-state"), isOn() ? "" : "Sound is off here.");
}

const STALE = {
  daemon: (of) => `The daemon is not heard. What stands here is of ${of} and does not move.`,
  stopped: (of) => `The daemon was stopped. What stands here is of ${of} and does not move.`,
  reckoning: (of) => `The reckoning stands still since ${of}: the daemon is heard, and no second is worked.`,
  broker: () => "The broker is away: nothing comes from other devices, and nothing goes to them. This page is heard.",
};

function tellStale() {
  const found = stale();
  const of = boat.position ? `${clock(Date.parse(boat.position.at))} UT` : "an unknown time";
  document.body.classList.toggle("stale", found.some(({ what }) => what !== "broker"));
  const words = found.map(({ what }) => STALE[what](of));
  renew(document.getElementById("stale"), words, () => words.map((each) => make("p", {}, each)));
}

function tellQueue() {
  const items = waiting();
  const stuck = items.filter((item) => item.problem).length;
  const way = items.length - stuck;
  const words = [way ? `${way} entered here, ${linkUp() ? "on its way" : "kept until the daemon is heard"}` : "", stuck ? `${stuck} not entered: see the log` : ""].filter(Boolean);
  write(document.getElementById("queue"), words.map(sentence).join(" "));
}

// --- look and sound ------------------------------------------------------------------------------------------

function setLook(palette, dim) {
  root.dataset.palette = palette;
  root.dataset.dim = String(Math.max(0, Math.min(4, dim)));
  keep("look", [palette, Number(root.dataset.dim)]);
  sheet.redraw();
}

function look() {
  const pressed = (words, palette) => button(words, () => { setLook(palette, Number(root.dataset.dim)); for (const each of palettes) each.setAttribute("aria-pressed", String(each.dataset.look === palette)); }, { "data-look": palette, "aria-pressed": String(root.dataset.palette === palette) });
  const palettes = [pressed("Night", "night"), pressed("Day", "day"), pressed("Sun", "sun")];
  const dimmer = (words, by) => button(words, () => setLook(root.dataset.palette, Number(root.dataset.dim) + by));
  const sounds = button(isOn() ? "Sound off" : "Sound on", async () => {
    await (isOn() ? soundOff() : soundOn());
    write(sounds, isOn() ? "Sound off" : "Sound on");
    refresh();
  });
  return make("details", {}, make("summary", {}, "Light, sound and keys of this page"),
    make("div", { class: "row" }, ...palettes, dimmer("Dimmer", 1), dimmer("Brighter", -1), sounds),
    make("p", { class: "small" }, keysInWords(boat.hello.keys)));
}

// --- begin ---------------------------------------------------------------------------------------------------

listen((topic, report, past) => {
  if (topic === "sound" && !past) {
    play(report.pattern);
    say(report.text, { atOnce: report.pattern !== "note" });
  }
  refreshSoon();
});

async function begin() {
  const response = await fetch("/hello").catch(() => null);
  if (!response) return setTimeout(begin, 1500);
  if (response.status === 401) return askToken();
  const told = await response.json();
  if (!response.ok) return write(view, sentence(told.problem));
  boat.hello = told;
  write(document.getElementById("boat"), boat.hello.role === "skipper" ? boat.hello.boat : `${boat.hello.boat}, for looking`);
  if (boat.hello.role !== "skipper") for (const each of document.querySelectorAll("nav [data-view=sight], #overboard-key")) each.remove();
  openFeed();
  go("now");
  setInterval(refresh, 250);
}

function askToken() {
  const input = make("input", { id: "token", type: "password", autocomplete: "current-password" });
  const wrong = make("p", { role: "alert" });
  const send = async (event) => {
    event.preventDefault();
    const response = await fetch("/token", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ token: input.value.trim() }) }).catch(() => null);
    if (response && response.ok) return begin();
    write(wrong, response ? sentence((await response.json()).problem) : "The daemon is not heard.");
  };
  view.replaceChildren(make("form", { onsubmit: send }, make("h2", {}, "This page is opened by a token"), make("label", { for: "token" }, "The skipper's token, or the crew's"), input, wrong, make("div", { class: "row" }, make("button", { type: "submit" }, "Open"))));
}

const [palette, dim] = kept("look", ["night", 0]);
setLook(palette, dim);
document.getElementById("overboard-key").addEventListener("click", () => boat.hello && overboard.press());
for (const each of document.querySelectorAll("nav [data-view]")) each.addEventListener("click", () => press(each.dataset.view));
listenToKeys(press, () => current);
void begin();
