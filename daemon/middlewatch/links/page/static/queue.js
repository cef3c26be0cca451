// Entries on their way: kept on this device until the daemon has answered them, sent in the order they were made.
//
// Each has an id made here, so that one sent twice is taken once. While the link is down they wait; their own
// time stays what it was.

import { boat, linkUp } from "./boat.js";
import { keep, kept } from "./store.js";

const KEY = "queue";
const AGAIN_MS = 1000;
const answered = new Map(); // id -> who waits for the answer on this page
let sending = false;

/** An id of our own, short enough to read out. */
export function newId() {
  const four = crypto.getRandomValues(new Uint8Array(4));
  return "p" + [...four].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** What waits to be answered, oldest first. */
export const waiting = () => kept(KEY, []);

const hold = (items) => keep(KEY, items);

const clockDoubted = () => Boolean(boat.alerts.clock && boat.alerts.clock.state !== "normal");

/**
 * Enter something; `when` is the moment it is of, or null for when it is heard.
 * The answer comes as a promise, however late: an answer of the daemon, or `{problem}` where it never got there.
 */
export function enter(channel, body, when = null) {
  const item = { channel, body: { id: newId(), ...body }, when, tries: 0 };
  hold([...waiting(), item]);
  const answer = new Promise((resolve) => answered.set(item.body.id, resolve));
  void flush();
  return { id: item.body.id, answer };
}

function textOf(item) {
  if (item.when === null) return JSON.stringify(item.body);
  // A clock in doubt takes no time of day: then it is told how long ago, anew at each try.
  const when = clockDoubted()
    ? { ago_s: Math.max(0, Math.round((Date.now() - item.when.pressed) / 100) / 10) }
    : { at: new Date(item.when.at).toISOString() };
  return JSON.stringify({ ...item.body, ...when });
}

async function flush() {
  if (sending) return;
  sending = true;
  try {
    for (let item = waiting().find((each) => !each.problem); item; item = waiting().find((each) => !each.problem)) {
      if (!(await send(item))) break;
    }
  } finally {
    sending = false;
  }
}

async function send(item) {
  change(item, { tries: item.tries + 1 });
  let response;
  try {
    response = await fetch(`/entry/${item.channel}`, {
      method: "POST", headers: { "content-type": "application/json" }, body: textOf(item), signal: AbortSignal.timeout(10000),
    });
  } catch {
    return false; // the link is down: it is sent again
  }
  if ([401, 429, 500, 503, 504].includes(response.status)) return false;
  const said = await response.json().catch(() => ({ problem: `the answer cannot be read (${response.status})` }));
  if (said.problem) change(item, { problem: said.problem });
  else hold(waiting().filter((each) => each.body.id !== item.body.id));
  const waits = answered.get(item.body.id);
  answered.delete(item.body.id);
  if (waits) waits(said);
  return true;
}

function change(item, more) {
  hold(waiting().map((each) => (each.body.id === item.body.id ? { ...each, ...more } : each)));
}

/** Let go of what can never be delivered, once somebody has read why. */
export function letGo(id) {
  hold(waiting().filter((each) => each.body.id !== id));
}

setInterval(() => {
  if (linkUp() && waiting().length) void flush();
}, AGAIN_MS);
