// One field of the form: its label, its box with a unit, its range, what it means and where its usual value comes from.

import { make } from "./html.js";
import { fieldIn, fieldOut, fieldUnit } from "./units.js";

const UNIT_WORDS = { "1/ac": "an acre", yr: "years", "1/ha": "a hectare" };
const described = new WeakMap();

/** Build a field; `change(path, value)` is called when a person has typed or chosen. */
export function field(about, change) {
  const id = `f-${about.path.replaceAll(".", "-")}`;
  const help = `${id}-help`;
  const input = box(about, { id, dataset: { path: about.path, help }, "aria-describedby": help });
  described.set(input, about);
  input.addEventListener("change", () => change(about.path, read(input, about), about));
  const unit = UNIT_WORDS[fieldUnit(about)] ?? fieldUnit(about);
  const body = about.kind === "boolean"
    ? [make("div", { class: "with-unit" }, input, make("label", { for: id }, about.label))]
    : [make("label", { for: id }, about.label), make("div", { class: "with-unit" }, input, unit ? make("span", { class: "unit" }, unit) : null)];
  return make("div", { class: "field", dataset: { label: about.label } }, body,
    make("p", { class: "from", id: help }, helpOf(about)));
}

function box(about, attributes) {
  if (about.kind === "choice") {
    const usual = about.choices.find((choice) => choice.value === about.default);
    const empty = about.needed ? [] : [make("option", { value: "" }, usual ? `usual: ${usual.label}` : "–")];
    return make("select", attributes, empty, about.choices.map((choice) => make("option", { value: JSON.stringify(choice.value) }, choice.label)));
  }
  if (about.kind === "boolean") return make("input", { ...attributes, type: "checkbox" });
  if (about.kind === "number" || about.kind === "integer") {
    return make("input", { ...attributes, type: "text", inputmode: about.kind === "integer" ? "numeric" : "decimal", size: 9,
      placeholder: about.default === null || about.default === undefined ? null : String(fieldOut(about, about.default)) });
  }
  return make("input", { ...attributes, type: "text", placeholder: about.default === null || about.default === undefined ? null : String(about.default) });
}

/** Most usual values come from one source, which is said once for all above the form. */
let common = "";
export function setCommonSource(source) {
  common = source;
}

function helpOf(about) {
  return [sentence(about.help), rangeOf(about), usualOf(about)].filter(Boolean).join(" ");
}

function usualOf(about) {
  const { default: usual, kind, choices, source } = about;
  if (usual === null || usual === undefined || usual === "" || typeof usual === "object") return source && source !== common ? `${sentence(source)}` : "";
  const said = kind === "boolean" ? (usual ? "yes" : "no") : choices?.find((choice) => choice.value === usual)?.label ?? fieldOut(about, usual);
  return `Usual: ${said}${source && source !== common ? ` (${source})` : ""}.`;
}

const sentence = (text) => (text ? `${text[0].toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? "" : "."}` : "");

function rangeOf(about) {
  const has = (value) => value !== null && value !== undefined;
  const name = UNIT_WORDS[fieldUnit(about)] ?? fieldUnit(about);
  const unit = name && name !== "share" ? ` ${name}` : "";
  const [low, high] = [about.min, about.max].map((value) => (has(value) ? fieldOut(about, value).toLocaleString("en-US") : null));
  if (has(low) && has(high)) return `${about.above ? "above " : ""}${low} to ${about.below ? "below " : ""}${high}${unit}.`.replace(/^a/, "A");
  if (has(low)) return `${about.above ? "Above" : "At least"} ${low}${unit}.`;
  return has(high) ? `${about.below ? "Below" : "At most"} ${high}${unit}.` : "";
}

/** Show a value of the plan; undefined shows the box empty, with the usual value greyed. */
export function fill(input, value) {
  const about = described.get(input);
  if (about.kind === "boolean") input.checked = value ?? about.default ?? false;
  else if (about.kind === "choice") input.value = value === undefined ? "" : JSON.stringify(value);
  else if (value === undefined || value === null) input.value = "";
  else if (typeof value === "number") input.value = String(fieldOut(about, value));
  else input.value = typeof value === "string" ? value : JSON.stringify(value);
}

/** What was typed, in the unit of the file; what is no number goes on as text, for the server to say what is wrong. */
function read(input, about) {
  if (about.kind === "boolean") return input.checked;
  if (input.value.trim() === "") return undefined;
  if (about.kind === "choice") return JSON.parse(input.value);
  if (about.kind === "number" || about.kind === "integer") {
    const number = Number(input.value.replaceAll(",", ""));
    return Number.isFinite(number) ? fieldIn(about, number) : input.value;
  }
  if (/^[[{]/.test(input.value.trim())) {
    try { return JSON.parse(input.value); } catch { return input.value; }
  }
  return input.value;
}
