// Sight now: the first press freezes the moment. Three digits and a mark, in either order, enter a bearing.

import { boat, linkUp, markAt, moment } from "./boat.js";
import { button, make, say, write } from "./dom.js";
import { formOf, kinds, markNames } from "./forms.js";
import { enter } from "./queue.js";
import { ago, clock, kn, readBack, sentence, three, toward } from "./words.js";

const REFERENCES = { magnetic: "magnetic", true: "true", compass: "by the ship's compass", relative: "from the bow" };
const EYE_NM = 8; // how far a mark without a light's range is looked for (judgement)
const MOST_MARKS = 8;

let view = null;
let sight = null; // the sight that is frozen: {when, words, digits, mark, reference}
let parts = {};

/** Freeze this moment; what was entered before is done with. */
export function freeze() {
  const at = boat.position;
  const heading = at && at.heading_true_deg !== null ? `heading ${three(at.heading_true_deg)} T` : "heading not known";
  const speed = at && at.speed_kn !== null ? `${kn(at.speed_kn)}` : "speed not known";
  const run = at && at.dr ? `, run ${at.dr.run_nm.toFixed(1)} nm since ${clock(Date.parse(at.dr.since))}` : "";
  sight = { when: moment(), words: `${heading}, ${speed}${run}`, digits: "", mark: undefined, reference: "magnetic" };
}

/** Build the view. */
export function show(into) {
  view = into;
  if (boat.hello.role !== "skipper") return view.append(make("p", {}, "This view is for looking; the skipper enters."));
  if (!sight) freeze();
  ask();
}

/** Bring the view up to date. */
export function refresh() {
  if (parts.frozen && sight) write(parts.frozen, `Frozen at ${clock(sight.when.at)} UT, ${ago(Date.now() - sight.when.pressed)}: ${sight.words}.`);
}

function ask() {
  parts = { frozen: make("p"), digits: make("p", { class: "digits", "aria-live": "off" }), read: make("p", { role: "status" }) };
  const marks = likely();
  view.replaceChildren(
    markNames(), parts.frozen,
    make("div", { class: "entering" },
      make("div", { role: "group", "aria-label": "The bearing" }, parts.digits, parts.read, pad()),
      make("div", { role: "group", "aria-label": "Which mark" }, make("h2", {}, "Of which mark?"),
        make("div", { class: "marks" }, ...marks.slice(0, MOST_MARKS).map(markButton), button("Not known yet", () => mark(null), { "data-mark": "" })),
        marks.length > MOST_MARKS ? make("details", {}, make("summary", {}, "More marks"), make("div", { class: "marks" }, ...marks.slice(MOST_MARKS).map(markButton))) : "",
        make("h2", {}, "By what?"),
        make("div", { class: "row" }, ...Object.entries(REFERENCES).map(([name, words]) => button(words, () => refer(name), { "data-reference": name }))))),
    make("h2", {}, "Something else was sighted"), kinds("sighting", ask_form),
    make("h2", {}, "An order"), kinds("order", ask_form));
  tell();
  refresh();
}

const pad = () => make("div", { class: "pad" }, ..."123456789".split("").map((each) => button(each, () => digit(each))),
  button("Clear", clear), button("0", () => digit("0")), button("Anew", again, { "aria-label": "Freeze anew" }));

function markButton(each) {
  const about = [each.character].filter(Boolean).map((words) => make("small", {}, words));
  return make("button", { type: "button", onclick: () => mark(each.name), "data-mark": each.name }, each.name, ...about);
}

// Likely marks first: those in reach of the eye or of their light, from the EP. What they should bear is not
// said: what is expected is shown after the entry.
function likely() {
  const ep = boat.position && boat.position.ep;
  const named = [...boat.hello.marks].sort((one, other) => one.name.localeCompare(other.name));
  if (!ep) return named;
  const reach = (each) => toward(ep, each).distance / (each.range_nm || EYE_NM) / (sighted().has(each.name) ? 2 : 1);
  return named.sort((one, other) => reach(one) - reach(other));
}

const sighted = () => new Set([...boat.answers.values()].filter((each) => each.line && each.used).map((each) => markAt(each.line)));

function tell() {
  for (const each of view.querySelectorAll("[data-mark]")) each.setAttribute("aria-pressed", String(sight.mark !== undefined && each.dataset.mark === (sight.mark ?? "")));
  for (const each of view.querySelectorAll("[data-reference]")) each.setAttribute("aria-pressed", String(each.dataset.reference === sight.reference));
  write(parts.digits, sight.digits.padEnd(3, "_"));
  const by = REFERENCES[sight.reference];
  const of = sight.mark === undefined ? "" : sight.mark === null ? ", mark not known yet" : `, ${sight.mark}`;
  const words = sight.digits.length === 3 ? `${readBack(sight.digits)} ${by}` : sight.digits ? readBack(sight.digits) : "No bearing yet: three digits";
  write(parts.read, sentence(`${words}${of}${sight.digits.length === 3 && sight.mark === undefined ? ": of which mark?" : ""}`));
}

/** Take a digit; the third enters, once the mark is chosen. */
export function digit(each) {
  if (!sight || !parts.digits || !parts.digits.isConnected || sight.digits.length === 3) return;
  sight.digits += each;
  if (Number(sight.digits) > 360) {
    const found = sight.digits;
    sight.digits = "";
    tell();
    return write(parts.read, `${found} is no bearing: 000 to 360. Its three digits again.`);
  }
  tell();
  maybeEnter();
}

function mark(name) {
  sight.mark = name;
  tell();
  maybeEnter();
}

function refer(name) {
  sight.reference = name;
  tell();
}

function clear() {
  sight.digits = "";
  tell();
}

/** Freeze another moment. */
export function again() {
  freeze();
  view.replaceChildren();
  ask();
}

function maybeEnter() {
  if (sight.digits.length < 3 || sight.mark === undefined) return;
  const about = sight.mark === null ? { note: "mark not known yet" } : { mark: sight.mark };
  const body = { kind: "bearing", ...about, bearing_deg: Number(sight.digits), reference: sight.reference };
  const words = `${readBack(sight.digits)} ${REFERENCES[sight.reference]}, ${sight.mark ?? "mark not known yet"}`;
  entered({ ...enter("sighting", body, sight.when), words });
}

function ask_form(form) {
  parts = {};
  view.replaceChildren(markNames(), formOf(form, form.channel === "sighting" ? sight.when : moment(), entered));
  const first = view.querySelector("form input, form select, form textarea");
  if (first) first.focus();
}

// --- what came of it -----------------------------------------------------------------------------------------

function entered({ id, answer, words }) {
  const { at } = sight.when;
  sight = null;
  const result = make("div", { class: "answer", role: "status" }, make("p", {}, linkUp() ? "Entered; waiting for the answer." : "Kept on this device: it is entered, at its own time, as soon as the daemon is heard."));
  const undo = button("Undo", () => withdraw(id, result, undo));
  undo.id = "undo";
  const more = make("div");
  parts = {};
  view.replaceChildren(
    make("p", { class: "act" }, sentence(words)), make("p", { class: "small" }, `Of ${clock(at)} UT; ${id}.`), result,
    // What comes with the answer stands below Undo: nothing else may come to lie under a thumb on its way there.
    make("div", { class: "row" }, undo, button("Another sight", again)), more);
  undo.focus();
  say(`${words}.`);
  void answer.then((said) => {
    result.replaceChildren(...told(said));
    if (said.accepted === false || said.problem) undo.remove();
    if (said.open && said.line) more.append(confirmed(id));
    if (said.fix) more.append(...fixMade(said.fix));
  });
}

function withdraw(id, result, undo) {
  undo.disabled = true;
  void enter("order", { kind: "withdraw", entry: id }).answer.then((said) => result.replaceChildren(make("p", {}, sentence(said.effect || said.reason || said.problem || "withdrawn"))));
}

function told(said) {
  if (said.problem) return [make("p", {}, sentence(`not entered: ${said.problem}`))];
  if (said.accepted === false) return [make("p", {}, sentence(`refused: ${said.reason}`)), make("p", {}, sentence(`Found ${said.found}, wanted ${said.wanted}`))];
  const lines = [said.effect, said.pencil && `Pencil: ${said.pencil}`, residual(said), said.rival, ...slips(said), said.proposes && said.proposes.text];
  if (said.open) lines.push("It stays open: amend it, withdraw it, or confirm that it stands");
  if (said.used === false && said.line !== undefined) lines.push("It is kept, and not used");
  return lines.filter(Boolean).map((line) => make("p", {}, sentence(line)));
}

function residual(said) {
  for (const [unit, expected, by] of [["degrees", said.expected_deg, said.residual_deg], ["nm", said.expected_nm, said.residual_nm]]) {
    if (by === null || by === undefined) continue;
    const sigma = said.unusual_sigma === null ? "" : `, ${said.unusual_sigma.toFixed(1)} times what is usual`;
    const figure = (value) => (unit === "nm" ? value.toFixed(2) : value.toFixed(1));
    return `Expected ${unit === "nm" ? `${figure(expected)} nm` : `${three(expected)} T`}; it is ${by > 0 ? "+" : ""}${figure(by)} ${unit} off that${sigma}`;
  }
  return null;
}

const slips = (said) => (said.slips || []).map((slip) =>
  `Perhaps ${slip.slip}${slip.mark ? ` (${slip.mark})` : ""}: it would be ${Number.isInteger(slip.value) ? slip.value : slip.value.toFixed(1)}, and fit within ${slip.fits.toFixed(1)}`);

// An order that is one press, once; what came of it stands below.
function ordering(words, body) {
  const press = button(words, () => {
    press.disabled = true;
    void enter("order", body).answer.then((said) => press.after(make("p", { role: "status" }, sentence(said.effect || said.reason || said.problem))));
  });
  return make("div", { class: "row" }, press);
}

const confirmed = (id) => ordering("It stands as entered", { kind: "confirm", entry: id });

function fixMade(id) {
  const fix = boat.fixes.find((each) => each.id === id);
  return [make("p", {}, sentence(`It makes the ${fix ? fix.label : "fix"} ${id}. ${fix ? fix.worth : ""}`)), ordering(`Adopt ${id}`, { kind: "adopt", fix: id })];
}

/** Undo what was just entered; false where there is nothing to undo. */
export function undo() {
  const press = document.getElementById("undo");
  if (press && !press.disabled) press.click();
  return Boolean(press);
}

