// The boat as the daemon tells of her: the feed, the newest of everything, and whether it is still the newest.

import { keep, kept } from "./store.js";

export const LINK_SILENT_MS = 2500; // the daemon beats each second
export const RECKONING_STILL_MS = 3000; // a position comes each second
const OPEN_AGAIN_MS = 1500;
const MOST_NOTES = 600;

export const boat = {
  hello: null, position: null, satellite: null, overboard: null, advice: null, status: null, alerts: {},
  fixes: [], answers: new Map(), notes: [], broker: true, present: false,
};

const listeners = new Set();
let heardAt = -Infinity; // of this page's own steady clock, ms
let positionHeardAt = -Infinity;
let offset = kept("offset", 0); // boat's UTC less this device's clock, ms
let source = null;

/** Be called with each message after it is taken: topic, report, and whether it is of the past. */
export const listen = (listener) => listeners.add(listener);

/** The boat's UTC, ms; carried on by this device's clock while the link is down. */
export const boatNow = () => Date.now() + offset;

/**
 * This moment: the boat's UTC, and this device's clock, both ms. When the boat's clock is in doubt, or is set
 * meanwhile, only the other one still tells how long ago it was.
 */
export const moment = () => ({ at: boatNow(), pressed: Date.now() });

/** Begin to listen; again by itself for as long as the page is open. */
export function openFeed() {
  if (source) source.close();
  source = new EventSource("/feed");
  source.onopen = () => Object.assign(boat, { present: false, fixes: [], answers: new Map(), notes: [] });
  source.onmessage = (event) => take(JSON.parse(event.data));
}

// A connection that fails for good, or that went dumb, is opened anew.
setInterval(() => {
  if (!source) return;
  if (source.readyState === EventSource.CLOSED || performance.now() - heardAt > 4 * LINK_SILENT_MS) {
    heardAt = Math.max(heardAt, performance.now() - 3 * LINK_SILENT_MS);
    void openAgain();
  }
}, OPEN_AGAIN_MS);

// A daemon that came back may have other marks, or want another token.
async function openAgain() {
  const response = await fetch("/hello").catch(() => null);
  if (!response) return;
  if (response.status === 401) location.reload();
  if (response.ok) boat.hello = await response.json();
  openFeed();
}

function take({ topic, at, report }) {
  heardAt = performance.now();
  const past = !boat.present;
  if (topic === "position") {
    boat.position = report;
    positionHeardAt = heardAt;
  } else if (topic === "beat") boat.broker = report.broker;
  else if (topic === "present") boat.present = true;
  else if (topic === "note") boat.notes = [...boat.notes.slice(-MOST_NOTES), { at, ...report }];
  else if (topic === "fix") takeFix(report);
  else if (topic.endsWith("/answer") && report.id) boat.answers.set(report.id, report);
  else if (topic.startsWith("alert/")) boat.alerts[topic.slice(6)] = report;
  else if (topic in boat) boat[topic] = report;
  if (at && (topic === "beat" || (topic === "position" && !past))) setOffset(Date.parse(at) - Date.now());
  for (const listener of listeners) listener(topic, report, past);
}

function takeFix(fix) {
  boat.fixes = [...boat.fixes.filter((each) => each.id !== fix.id && each.id !== fix.revises), fix];
}

function setOffset(ms) {
  offset = ms;
  keep("offset", ms);
}

/** What is stale, a sentence each, the gravest first; none where all is as it should be. */
export function stale() {
  const silent = performance.now() - heardAt;
  if (!boat.position && heardAt === -Infinity) return [];
  if (boat.status && boat.status.state === "offline") return [{ what: "stopped", silent }];
  if (silent > LINK_SILENT_MS) return [{ what: "daemon", silent }];
  const found = [];
  const still = performance.now() - positionHeardAt;
  if (boat.position && still > RECKONING_STILL_MS) found.push({ what: "reckoning", silent: still });
  if (!boat.broker) found.push({ what: "broker", silent: 0 });
  return found;
}

/** Whether the daemon is heard just now. */
export const linkUp = () => performance.now() - heardAt <= LINK_SILENT_MS;

/** The alerts that stand, the gravest first, those that want acknowledging before the others. */
export function standing() {
  const grave = { alarm: 0, warning: 1, caution: 2 };
  return Object.entries(boat.alerts)
    .map(([name, alert]) => ({ name, ...alert }))
    .filter((alert) => alert.state !== "normal")
    .sort((one, other) => wants(other) - wants(one) || grave[one.priority] - grave[other.priority]);
}

/** Whether somebody has to acknowledge an alert. */
export const wants = (alert) => ["active-unacknowledged", "active-silenced", "rectified-unacknowledged"].includes(alert.state);

/** The newest sighting that made a line and stands: its answer, or null. */
export function newestLine() {
  const gone = new Set([...boat.answers.values()].filter((each) => each.kind === "withdraw" && each.accepted).map((each) => each.about));
  const lines = [...boat.answers.values()].filter((each) => each.line && each.used && !gone.has(each.id));
  return lines.reduce((newest, each) => (newest === null || each.line.at > newest.line.at ? each : newest), null);
}

/** The mark that stands where a line was seen from, by its name. */
export function markAt(line) {
  const near = (mark) => Math.abs(mark.latitude_deg - line.latitude_deg) < 1.5e-7 && Math.abs(mark.longitude_deg - line.longitude_deg) < 1.5e-7;
  const mark = boat.hello.marks.find(near);
  return mark ? mark.name : "a place";
}
