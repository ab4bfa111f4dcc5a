// Versions of the plan side by side: measures of money, wood and grass, and what differs.

import { byId, make, table } from "./html.js";
import { differences, get } from "./plan.js";
import { accepted, on, say, state } from "./store.js";
import { fieldOut, fieldUnit, shown, unitName } from "./units.js";
import { capital, count, dollars, percent } from "./words.js";
import { goTo } from "./views.js";

export function startVersions() {
  for (const event of ["version", "units", "view"]) on(event, show);
}

const own = (version) => version.comparison.systems.silvopasture;
const sum = (version, pick) => own(version).years.reduce((total, row) => total + pick(row), 0);
const perAc = (value, options) => dollars(shown(value, "$/ac"), options);

function measures() {
  const per = unitName("per_ac");
  return [
    [`Equal annual income, $ ${per} a year`, (version) => perAc(own(version).equal_annual_income_per_ac, { yearly: true })],
    ["The same on the whole field, a year", (version) => dollars(own(version).equal_annual_income_per_ac * version.comparison.area_ac)],
    [`Worth today, $ ${per}`, (version) => perAc(own(version).npv_per_ac)],
    [`Land expectation, $ ${per}`, (version) => perAc(own(version).land_expectation_per_ac)],
    [`Most money out at a time, $ ${per}`, (version) => perAc(-own(version).deepest_cash_per_ac)],
    ["Money back in year", (version) => own(version).payback_year ?? "not within the years"],
    [`Wood sold, ${unitName("ton/ac") === "ton/ac" ? "green tons an acre" : "green tonnes a hectare"}`, (version) => count(shown(sum(version, (row) => Object.values(row.wood_ton_ac).reduce((total, tons) => total + tons, 0)), "ton/ac"), 0)],
    ["Hay, tons on the whole field", (version) => count(sum(version, (row) => row.hay_ton_ac) * version.comparison.area_ac, 0)],
    ["Grazing, animal-unit months on the whole field", (version) => count(sum(version, (row) => row.animal_unit_months_ac) * version.comparison.area_ac, 0)],
    ["Least light on the grass", (version) => percent(Math.min(...own(version).years.slice(1).map((row) => row.light_warm)))],
    ["Earns most on this land", (version) => version.comparison.systems[version.comparison.ranking[0]].name],
  ];
}

function show() {
  if (!state.opened || state.view !== "versions") return;
  const listed = state.versions.some((each) => each.version === state.current) ? state.versions
    : [...state.versions, { name: "Not kept yet", version: state.current }];
  const paths = [...new Set(listed.flatMap(({ version }) => differences(state.opened.plan, version.plan).map(([path]) => path)))];
  const differing = [...new Set(paths.flatMap((path) => leaves(listed, path)))].map((path) => [labelOf(path), listed.map(({ version }) => spoken(version.plan, path))])
    .filter(([, values]) => new Set(values).size > 1);
  byId("versions-table").replaceChildren(table({
    caption: differing.length ? "Measures, and below them what differs between the plans" : "Measures. Change something and keep it, and it stands here beside the plan as opened.",
    head: ["Measure", ...listed.map(({ name, version }) => name + (version === state.current ? " (in hand)" : ""))],
    rows: [...measures().map(([name, measure]) => [name, ...listed.map(({ version }) => measure(version))]),
      ...differing.map(([label, values]) => [label, ...values.map((text) => ({ text, words: text.length > 12 }))]),
      ["Take it up again", ...listed.map(({ name, version }) => (version === state.current ? "" : make("button", { type: "button", "aria-label": `Go on from ${name}`, onclick: () => take(version, name) }, "Go on from here")))]],
  }));
}

const pattern = (path) => path.replace(/\.\d+(?=\.|$)/, ".*");
const fieldOf = (path) => state.form.flatMap((group) => group.fields).find((each) => each.path === path || each.path === pattern(path));
const isTable = (value) => value !== null && typeof value === "object";

/** The single values below a path in any of the versions. */
function leaves(listed, path) {
  const keys = new Set(listed.map(({ version }) => get(version.plan, path)).filter(isTable).flatMap((value) => Object.keys(value)));
  return keys.size ? [...keys].flatMap((key) => leaves(listed, `${path}.${key}`)) : [path];
}

/** A value as words; what a plan leaves out is what the program takes. */
function spoken(plan, path) {
  const field = fieldOf(path);
  const value = get(plan, path) ?? (field?.path === path && !field.pair ? field.default : null) ?? null;
  if (value === null || value === "") return "–";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (Array.isArray(value)) return value.length ? value.join("; ") : "none";
  if (isTable(value)) return "–"; // an empty table
  const choice = field?.choices?.find((each) => each.value === value)?.label;
  if (choice || typeof value !== "number" || !field) return choice ?? String(value);
  const unit = { "1/ac": "an acre", "1/ha": "a hectare", yr: "years", share: "" }[fieldUnit(field)] ?? fieldUnit(field) ?? "";
  return `${fieldOut(field, value)} ${unit}`.trim();
}

const USES = { plantation: "Trees alone", pasture: "Grass alone", open_later: "Opening it later" };

function labelOf(path) {
  const derived = /^baseline\.(\w+)\.(.+)$/.exec(path);
  if (derived) return `${USES[derived[1]] ?? derived[1]}: ${labelOf(derived[2])}`;
  const field = fieldOf(path);
  const group = state.form.find((each) => each.list === path || each.table === path);
  const number = field && field.path.includes("*") ? /\.(\d+)\./.exec(path) : null;
  if (field) return `${field.label}${number ? ` (${Number(number[1]) + 1})` : ""}`;
  return group?.title ?? capital(path.replaceAll("_", " ").replaceAll(".", ": "));
}

function take(version, name) {
  accepted(version);
  goTo("land");
  say(`${name} is in hand again.`);
}
