// A form for any kind of entry, made of what the daemon says that it asks.

import { boat } from "./boat.js";
import { button, make } from "./dom.js";
import { enter } from "./queue.js";
import { clock } from "./words.js";

const NOW_ORDERS = new Set(["withdraw", "amend", "confirm", "adopt", "fix", "acknowledge", "silence", "quiet", "clock", "trust_satellites"]);

export const inWords = (name) => name.replaceAll("_", " ").replace(/ (deg|nm|kn|m|min)$/, "");

/** Every kind there is, as buttons; `choose` is called with the form of the one pressed. */
export const kinds = (channel, choose) =>
  make("div", { class: "row" }, ...boat.hello.forms.filter((form) => form.channel === channel).map((form) => button(inWords(form.kind), () => choose(form))));

/** The form; `frozen`: the moment it was asked for; `entered` takes what was entered. */
export function formOf(form, frozen, entered) {
  const asked = form.fields.map((field) => ({ field, ...asks(field, `${form.kind}-${field.name}`) }));
  const wrong = make("p", { role: "alert" });
  const submit = (event) => {
    event.preventDefault();
    try {
      const body = { kind: form.kind };
      for (const { field, value } of asked) {
        const given = value();
        if (given !== undefined && given !== field.default) body[field.name] = given;
        else if (field.required && given === undefined) throw new Error(`${inWords(field.name)} is wanted: ${field.wanted}`);
      }
      const when = NOW_ORDERS.has(form.kind) ? null : frozen;
      entered({ ...enter(form.channel, body, when), words: inWords(form.kind) });
    } catch (error) {
      wrong.textContent = error.message;
    }
  };
  return make("form", { onsubmit: submit, novalidate: true },
    make("h2", {}, `${form.channel === "order" ? "Order" : "Sighting"}: ${inWords(form.kind)}`),
    make("p", { class: "small" }, NOW_ORDERS.has(form.kind) ? "It counts from the moment it is entered." : `Of ${clock(frozen.at)} UT, when you asked for it.`),
    ...asked.flatMap(({ shown }) => shown), wrong,
    make("div", { class: "row" }, make("button", { type: "submit" }, "Enter")));
}

function asks(field, id) {
  const wanted = make("span", { id: `${id}-wanted`, class: "small" }, `${field.required ? "" : "may stay empty; "}${field.asks === "changes" ? "a field and its new value a line, as bearing_deg: 248" : field.wanted}`);
  const input = inputOf(field, id);
  const back = field.null ? make("input", { type: "checkbox", id: `${id}-null` }) : null;
  const shown = [make("label", { for: id }, inWords(field.name)), input, make("br"), wanted];
  if (back) shown.push(make("label", { for: `${id}-null` }, back, ` give it back, or cancel: no ${inWords(field.name)} any more`));
  return { shown, value: () => (back && back.checked ? null : read(field, input)) };
}

function inputOf(field, id) {
  const common = { id, name: field.name, "aria-describedby": `${id}-wanted`, autocomplete: "off" };
  const choices = field.asks === "choice" ? field.choices : field.asks === "yes or no" ? ["no", "yes"] : null;
  if (choices) {
    const chosen = field.default === false ? "no" : field.default;
    const first = chosen === undefined ? [make("option", { value: "" }, "-")] : [];
    return make("select", common, ...first, ...choices.map((each) => make("option", { value: each, selected: each === chosen }, inWords(each))));
  }
  if (field.asks === "changes") return make("textarea", { ...common, rows: 3 });
  if (field.asks === "mark") return make("input", { ...common, list: "marks" });
  const numeric = field.asks.endsWith("number");
  return make("input", { ...common, inputmode: numeric ? "decimal" : null, value: field.default });
}

function read(field, input) {
  const text = input.value.trim();
  if (text === "") return undefined;
  switch (field.asks) {
    case "number":
    case "whole number": return number(field, text);
    case "yes or no": return text === "yes";
    case "list": return text.split(/[\s,]+/);
    case "mark": return markOf(text);
    case "changes": return Object.fromEntries(text.split("\n").filter((line) => line.trim()).map(changeOf));
    default: return text;
  }
}

function number(field, text) {
  const value = Number(text.replace(",", "."));
  if (!/\d/.test(text) || Number.isNaN(value)) throw new Error(`${inWords(field.name)}: found ${text}, wanted ${field.wanted}`);
  return value;
}

// A mark by its name, or by its place: 50.05, -4.25.
function markOf(text) {
  const place = text.match(/^(-?\d+(?:\.\d+)?)[ ,]+(-?\d+(?:\.\d+)?)$/);
  return place ? { latitude_deg: Number(place[1]), longitude_deg: Number(place[2]) } : text;
}

function changeOf(line) {
  const [, name, text] = line.match(/^\s*(\w+)\s*[:=]\s*(.*?)\s*$/) || [];
  if (!name) throw new Error(`found ${line}, wanted a field and its new value, as bearing_deg: 248`);
  try {
    return [name, JSON.parse(text)];
  } catch {
    return [name, text];
  }
}

/** The marks, to be chosen from by name. */
export const markNames = () => make("datalist", { id: "marks" }, ...boat.hello.marks.map((mark) => make("option", { value: mark.name })));
