// The plotting sheet: drawn by the daemon, redrawn at events and each minute; moved by buttons and keys.

import { boat, boatNow, listen } from "./boat.js";
import { button, make, write } from "./dom.js";
import { ago, hhmm } from "./words.js";

const MM_PER_PX = 25.4 / 96;
const STEP = 0.3; // of the sheet's side, a press
const ENLARGED = 1.25; // so that its print can be read at arm's length
const LATE_MS = 30000; // a sheet that has not come by then is asked for anew at the next minute

let parts = null;
let about = null; // {north, east, scale} once moved by hand, {scale, number} of several; null: all that is plotted
let drawn = null; // what the daemon drew last: about where, at which scale, of when
let asking = null; // of the sheet that is on its way; null: none is
let askedAt = -Infinity; // of this page's own steady clock, ms
let minute = null;

/** Build the view. */
export function show(view) {
  parts = { image: make("img", { class: "sheet", alt: "" }), of: make("p", { class: "small" }), pencil: make("pre", { class: "value" }) };
  view.append(
    parts.image, parts.of,
    make("div", { class: "row" },
      button("Larger", () => zoom(0.5)), button("Smaller", () => zoom(2)), button("All", all),
      button("North", () => move(0, 1)), button("South", () => move(0, -1)),
      button("West", () => move(-1, 0)), button("East", () => move(1, 0)), button("On her EP", follow),
      button("Sheet before", () => step(-1)), button("Next sheet", () => step(1))),
    make("details", { ontoggle: () => void pencil() }, make("summary", {}, "Pencil this, fix by fix and hour by hour"), parts.pencil));
  minute = null;
  drawn = null;
  if (asking) asking.abort();
  asking = null;
}

/** Bring the view up to date: a new sheet each minute. */
export function refresh() {
  const now = boat.position ? Math.floor(Date.parse(boat.position.at) / 60000) : null;
  // The sheet of the last minute may come late: called off each time, none would ever come.
  if (now !== minute && (!asking || performance.now() - askedAt > LATE_MS)) {
    minute = now;
    void draw();
  }
  write(parts.of, drawn ? `${drawn.of > 1 ? `Sheet ${drawn.number} of ${drawn.of}. ` : ""}Drawn of ${hhmm(drawn.at)}, ${ago(boatNow() - drawn.at)}, at 1 : ${drawn.scale.toLocaleString("en")} on paper. Positions on it are reckoned and sighted; the satellite position is only compared.` : "The sheet is being drawn.");
}

// What changes the plot is drawn at once; a late sighting may change all of it.
listen((topic, report, past) => {
  if (!past && parts && parts.image.isConnected && (topic === "fix" || topic.endsWith("/answer"))) void draw();
});

async function draw() {
  if (asking) asking.abort(); // a newer sheet is wanted
  const mine = (asking = new AbortController());
  askedAt = performance.now();
  const of = boat.position ? Date.parse(boat.position.at) : boatNow();
  const width = Math.max(60, (parts.image.clientWidth * MM_PER_PX) / ENLARGED);
  const height = Math.max(60, Math.min(width * 1.25, (window.innerHeight * 0.62 * MM_PER_PX) / ENLARGED));
  const asks = new URLSearchParams({ look: document.documentElement.dataset.palette, width_mm: width.toFixed(1), height_mm: height.toFixed(1), ...(about || {}) });
  const response = await fetch(`/sheet.svg?${asks}`, { signal: mine.signal }).catch(() => null);
  const picture = response && response.ok ? await response.blob().catch(() => null) : null;
  if (mine !== asking) return;
  asking = null;
  if (!picture) return;
  const told = (name) => Number(response.headers.get(`sheet-${name}`));
  drawn = { north: told("north"), east: told("east"), scale: told("scale"), number: told("number"), of: told("of"), width, height, at: of };
  // Beyond the last sheet is the last; she may have gone back to fewer.
  if (about && about.number) about.number = drawn.number;
  const address = URL.createObjectURL(picture);
  parts.image.onload = () => URL.revokeObjectURL(address);
  parts.image.src = address;
  parts.image.alt = `Plotting sheet of ${hhmm(of)}: reckoning, sights, fixes and the area. The same in words stands below, under Pencil this.`;
  refresh();
}

/** Draw anew, as after a change of palette. */
export const redraw = () => parts && parts.image.isConnected && void draw();

async function pencil() {
  const response = await fetch("/pencil").catch(() => null);
  if (response && response.ok) write(parts.pencil, (await response.json()).lines.join("\n") || "Nothing to pencil yet.");
}

function go(north, east, scale) {
  about = { north: Math.max(-85, Math.min(85, north)).toFixed(7), east: (((east + 540) % 360) - 180).toFixed(7), scale: Math.round(Math.max(1000, Math.min(2e7, scale))) };
  void draw();
}

function move(east, north) {
  if (!drawn) return;
  const metres = (mm) => (mm / 1000) * drawn.scale * STEP;
  const latitude = drawn.north + (north * metres(drawn.height)) / 111_120;
  go(latitude, drawn.east + (east * metres(drawn.width)) / (111_120 * Math.cos((drawn.north * Math.PI) / 180)), drawn.scale);
}

const zoom = (factor) => drawn && go(drawn.north, drawn.east, drawn.scale * factor);

/** Step through the sheets that the passage takes at this scale, from its beginning, or back from its end. */
function step(by) {
  if (!drawn) return;
  const stepping = about && about.number;
  about = { scale: Math.round(drawn.scale), number: stepping ? Math.max(1, about.number + by) : by > 0 ? 1 : 999999 };
  void draw();
}

function all() {
  about = null;
  void draw();
}

function follow() {
  const ep = boat.position && boat.position.ep;
  if (ep && drawn) go(ep.latitude_deg, ep.longitude_deg, drawn.scale);
}

/** The sheet's own keys; true where one was meant. */
export function key(name) {
  const does = {
    "+": () => zoom(0.5), "=": () => zoom(0.5), "-": () => zoom(2), 0: all, e: follow, PageDown: () => step(1), PageUp: () => step(-1),
    ArrowUp: () => move(0, 1), ArrowDown: () => move(0, -1), ArrowLeft: () => move(-1, 0), ArrowRight: () => move(1, 0),
  }[name];
  if (does) does();
  return Boolean(does);
}
