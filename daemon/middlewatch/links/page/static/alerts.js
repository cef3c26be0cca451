// Alerts: what stands, what to do about it, and quiet.

import { boat, boatNow, standing, wants } from "./boat.js";
import { button, make, renew, say } from "./dom.js";
import { enter } from "./queue.js";
import { ago, hhmm, sentence } from "./words.js";

const STATES = {
  active: "It stands.",
  "active-unacknowledged": "It stands; nobody has acknowledged it.",
  "active-silenced": "It stands; silenced for half a minute.",
  "active-acknowledged": "It stands; acknowledged.",
  "rectified-unacknowledged": "It is over; nobody has acknowledged it.",
};

let parts = null;

/** Acknowledge an alert at the revision that is shown. */
export const acknowledge = (alert) => order({ kind: "acknowledge", alert: alert.name, revision: alert.revision });

/** Acknowledge the gravest alert that wants it; false where none does. */
export function acknowledgeGravest() {
  const alert = standing().find(wants);
  if (alert) acknowledge(alert);
  return Boolean(alert);
}

/** Ten minutes without a sound but for alarms and danger. */
export const quiet = () => order({ kind: "quiet" });

function order(body) {
  if (boat.hello.role !== "skipper") return say("This view is for looking.");
  void enter("order", body).answer.then((answer) => say(answer.effect || answer.reason || answer.problem || "Taken."));
}

/** Build the view. */
export function show(view, look) {
  parts = { list: make("div"), past: make("p", { class: "small" }) };
  const keeper = boat.hello.role === "skipper";
  view.append(
    make("h2", {}, "What stands"), parts.list,
    keeper ? make("div", { class: "row" }, button("Quiet for 10 min", quiet)) : "",
    keeper ? make("p", { class: "small" }, "Quiet holds back every sound but an alarm's and a danger's.") : "",
    look(), parts.past,
  );
}

/** Bring the view up to date. */
export function refresh() {
  const alerts = standing();
  const minute = Math.floor(boatNow() / 60000);
  renew(parts.list, [minute, boat.hello.role, ...alerts.map((each) => [each.name, each.revision, each.state])], () =>
    alerts.length ? alerts.map(shown) : [make("p", { class: "act" }, "No alert stands.")]);
}

function shown(alert) {
  const since = Date.parse(alert.since);
  const buttons = boat.hello.role === "skipper" && wants(alert)
    ? make("div", { class: "row" }, button(`Acknowledge ${alert.name}`, () => acknowledge(alert)),
      alert.state === "active-unacknowledged" ? button(`Silence ${alert.name} for 30 s`, () => order({ kind: "silence", alert: alert.name, revision: alert.revision })) : "")
    : "";
  return make("article", { class: wants(alert) ? "wants" : null },
    make("h3", { class: "value" }, `${alert.priority.toUpperCase()}: ${sentence(alert.text)}`),
    make("p", { class: "small" }, `About ${alert.name}, since ${hhmm(since)}, ${ago(boatNow() - since)}. ${STATES[alert.state]} Revision ${alert.revision}.`),
    buttons);
}
