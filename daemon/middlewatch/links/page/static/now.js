// Now: how far to trust what, at a glance. The edge of the area first, then the next act, then heading and speed.

import { boat, boatNow, markAt, newestLine, standing, wants } from "./boat.js";
import { button, make, renew, write } from "./dom.js";
import { acknowledge } from "./alerts.js";
import { ago, areaWords, hhmm, inHundred, kn, nm, place, sentence, three, toward } from "./words.js";

const WAYS = {
  under_way: "Under way", little_way: "Little way on", manoeuvring: "Manoeuvring", hove_to: "Hove to",
  drifting: "Drifting", anchored: "At anchor", made_fast: "Made fast", aground: "Aground",
};
const BY = { bridged: "carried on from the last one heard", held: "held: its sensor is silent", none: "not known", order: "given by hand" };

let parts = null;

/** Build the view. */
export function show(view, look) {
  parts = {
    first: make("p", { class: "first value" }), firstBy: make("p", { class: "small" }),
    act: make("div"), run: make("p", { class: "run value" }), runBy: make("p", { class: "small" }), ahead: make("div"),
    satellite: make("p", { class: "value" }), satelliteBy: make("p", { class: "small" }),
    pencil: make("div"),
  };
  view.append(
    make("div", { role: "group", "aria-label": "Where she may be" }, parts.first, parts.firstBy),
    make("div", { role: "group", "aria-label": "The next act" }, parts.act),
    make("div", { role: "group", "aria-label": "Heading and speed" }, parts.run, parts.runBy),
    make("div", { role: "group", "aria-label": "Ahead" }, parts.ahead),
    make("div", { role: "group", "aria-label": "Satellites" }, parts.satellite, parts.satelliteBy),
    make("details", {}, make("summary", {}, "Pencil this"), parts.pencil),
    look(),
    make("p", { class: "small" }, "An aid. Chart, lookout, local rules and licensed practice come first. It sees no other vessel, no floating thing, nothing that was not entered, and no chart."),
  );
}

/** Bring the view up to date. */
export function refresh() {
  const at = boat.position;
  if (!at) return write(parts.first, boat.present ? "No reckoning yet: nothing is heard that tells the time." : "Listening.");
  first(at);
  act(at);
  run(at);
  ahead(at);
  satellite();
  pencil(at);
}

function first(at) {
  if (!at.dr) {
    renew(parts.first, ["none"], () => ["No departure yet."]);
    return write(parts.firstBy, "The reckoning starts from one: where was she, and when?");
  }
  if (!at.area) {
    renew(parts.first, ["no area"], () => ["No area yet."]);
    return write(parts.firstBy, `DR of ${hhmm(Date.parse(at.at))}.`);
  }
  const [size, form] = areaWords(at.area);
  const line = newestLine();
  const age = line ? `Last line ${markAt(line.line)}, ${ago(boatNow() - Date.parse(line.line.at))}` : `No line since the ${at.origin.kind} of ${hhmm(Date.parse(at.origin.at))}`;
  const worked = `worked ${ago(boatNow() - Date.parse(at.at))}`;
  if (at.danger) {
    const touching = at.danger.distance_nm === 0;
    const figure = nm(at.danger.distance_nm);
    const from = touching ? ` is within the area` : ` from the area's edge`;
    renew(parts.first, [touching, figure, at.danger.name], () =>
      touching ? [`${at.danger.name}${from}.`] : [make("span", { class: "figure" }, figure), ` to ${at.danger.name}${from}.`]);
    return write(parts.firstBy, `${chances(at.danger)}She is ${form(size)}, 95 times in 100. ${age}; ${worked}.`);
  }
  renew(parts.first, [size], () => ["She is within ", make("span", { class: "figure" }, size), "."]);
  write(parts.firstBy, `She is ${form("that size")}, 95 times in 100. ${age}; ${worked}.`);
}

function chances(danger) {
  const said = [[danger.probability, "now"], [danger.within_half_hour, "in half an hour"], [danger.within_hour, "in an hour"]]
    .filter(([part]) => part > 0)
    .map(([part, when]) => `${inHundred(part)} ${when}`);
  return said.length ? `Chance in 100 of being too near ${danger.likeliest || danger.name}: ${said.join(", ")}. ` : "";
}

function act(at) {
  const urgent = standing().find(wants);
  if (urgent) {
    renew(parts.act, [standing(), boat.hello.role], () => [
      make("p", { class: "act value" }, `${urgent.priority.toUpperCase()}: ${sentence(urgent.text)}`),
      boat.hello.role === "skipper" ? make("div", { class: "row" }, button("Acknowledge", () => acknowledge(urgent))) : null,
      ...others(urgent),
    ].filter(Boolean));
    return;
  }
  const words = at.dr ? advice() : "Enter a departure: Sight now, then departure.";
  renew(parts.act, [words, boat.advice && boat.advice.at, standing()], () => [make("p", { class: "act value" }, words),
    make("p", { class: "small" }, at.dr && boat.advice ? `Advised at ${hhmm(Date.parse(boat.advice.at))}.` : ""), ...others(null)]);
}

// What stands besides and wants nobody's hand is said smaller, but said.
const others = (urgent) => standing().filter((each) => !urgent || each.name !== urgent.name)
  .map((each) => make("p", { class: "small value" }, `Besides, ${each.priority} since ${hhmm(Date.parse(each.since))}: ${sentence(each.text)}`));

const advice = () => (boat.advice && boat.advice.text ? sentence(boat.advice.text) : "Nothing to advise: no sight would shrink the area by much.");

function run(at) {
  const heading = at.heading_true_deg === null ? "Heading not known" : `Heading ${three(at.heading_true_deg)} T`;
  const speed = at.speed_kn === null ? "speed not known" : `${kn(at.speed_kn)} through the water`;
  write(parts.run, `${heading}, ${speed}. ${WAYS[at.way]}.`);
  write(parts.runBy, sentence(`Heading ${source(at.basis.heading, at)}; speed ${source(at.basis.speed, at)}`));
  parts.run.classList.toggle("old", [at.basis.heading, at.basis.speed].some((each) => each.source in BY && each.source !== "order"));
}

// Where she will be if nothing changes, and on the course ordered where that is another.
function ahead(at) {
  const lines = (at.ahead || []).map((each) => {
    const near = each.danger ? `; chance of being too near ${each.danger.name} then ${inHundred(each.danger.probability)} in 100` : "";
    const size = `${(2 * each.area.semi_major_nm).toFixed(1)} by ${(2 * each.area.semi_minor_nm).toFixed(1)} nm`;
    return `By ${hhmm(Date.parse(each.at))}, on the ${each.course} course, ${three(each.heading_true_deg)} T: an area of ${size}${near}.`;
  });
  renew(parts.ahead, lines, () => lines.map((line) => make("p", { class: "small value" }, line)));
}

// How old a sensor's word was at its second, and how much older it has grown since.
function source({ source: by, age_s: age }, at) {
  const since = age === null ? "" : `, ${ago(1000 * age + Math.max(0, boatNow() - Date.parse(at.at)))}`;
  return by in BY ? `${BY[by]}${since}` : `by ${by}${since}`;
}

function satellite() {
  const told = boat.satellite;
  if (!told) return write(parts.satellite, "");
  const state = told.state.replace("_", " ");
  const gap = told.gap_nm === null ? "" : `: ${told.gap_nm.toFixed(2)} nm, ${three(told.bearing_deg)} T of the EP`;
  const ordinary = told.gap_nm === null || told.ordinary_gap_nm === null ? "" : ` When all is well the gap passes ${told.ordinary_gap_nm.toFixed(2)} nm once in a hundred.`;
  const how = told.state === "in_step" ? "in step with the reckoning" : state;
  const why = told.reason ? ` ${sentence(told.reason)}` : "";
  write(parts.satellite, told.state === "none" ? sentence(`Satellites: ${told.reason}`) : `Satellite position ${how}${gap}.${why}`);
  write(parts.satelliteBy, `${ordinary} So since ${hhmm(Date.parse(told.since))}; compared ${ago(boatNow() - Date.parse(told.at))}.`.trim());
}

function pencil(at) {
  if (!at.ep) return write(parts.pencil, "Nothing to pencil before a departure.");
  const half = at.area ? at.area.semi_major_nm : null;
  const written = [
    `EP of ${hhmm(Date.parse(at.at))}: ${place(at.ep.latitude_deg, at.ep.longitude_deg, half)}${at.ep.holds.length ? `, holding ${at.ep.holds.join(" and ")}` : ""}.`,
    `DR since ${hhmm(Date.parse(at.dr.since))}: ${place(at.dr.latitude_deg, at.dr.longitude_deg, half)}, run ${at.dr.run_nm.toFixed(1)} nm.`,
    ...(at.ahead || []).map((each) => `EP of ${hhmm(Date.parse(each.at))} on the ${each.course} course: ${place(each.ep.latitude_deg, each.ep.longitude_deg, each.area.semi_major_nm)}.`),
    ...nearest(at.ep),
    `Reckoned from the ${at.origin.kind} of ${hhmm(Date.parse(at.origin.at))}, ${at.origin.source}${at.origin.parent_satellite ? ", given by satellite" : ""}.`,
  ];
  renew(parts.pencil, written, () => written.map((line) => make("p", { class: "value" }, line)));
}

function nearest(ep) {
  const marks = boat.hello.marks.map((mark) => ({ mark, ...toward(ep, mark) })).sort((one, other) => one.distance - other.distance);
  return marks.slice(0, 1).map(({ mark, bearing, distance }) => `From the EP ${mark.name} bears ${three(bearing)} T, ${nm(distance)}.`);
}
