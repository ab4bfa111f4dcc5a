// The plan's form, made from the description that the server gives of every field.

import { byId, make } from "./html.js";
import { field, fill, setCommonSource } from "./fields.js";
import { changed, get } from "./plan.js";
import { latestPlan, on, propose, say, state } from "./store.js";

const OPEN_AT_FIRST = ["land", "rows", "thinning"];
let draft = null; // the plan in hand with changes that were refused, until they are right or taken back
let built = "";

export function startForm() {
  byId("plan-form").addEventListener("submit", (event) => event.preventDefault());
  on("version", () => { draft = null; show(); });
  on("units", show);
  on("view", show);
  on("problems", showProblems);
}

const plan = () => draft ?? latestPlan();

/** Take a value of the form into the plan and have it worked through; undefined takes the value out. */
function change(path, value, about = {}) {
  draft = about.pair ? changedPair(about.pair, path, value) : changed(plan(), path, value);
  propose(draft);
}

/** Two years that are given or left out together: the first one typed counts for both until the other is typed. */
function changedPair(pair, path, value) {
  const now = get(plan(), pair);
  if (value === undefined) return changed(plan(), pair, undefined);
  return Array.isArray(now) ? changed(plan(), path, value) : changed(plan(), pair, [value, value]);
}

/** Fields of a list of tables, such as thinnings, say so by a star in their path. */
function signature() {
  const lengths = state.form.map(({ list, table }) => (list ? (get(plan(), list) ?? []).length : table ? get(plan(), table) !== undefined : null));
  return JSON.stringify([state.units, lengths]);
}

function show() {
  if (!state.opened || state.view !== "plan") return;
  if (built !== signature()) build();
  for (const input of byId("plan-form").querySelectorAll("[data-path]")) fill(input, get(plan(), input.dataset.path));
  showProblems();
}

/** The source that most usual values share. */
function commonSource() {
  const counts = new Map();
  for (const { default: usual, source } of state.form.flatMap((group) => group.fields)) {
    if (usual !== null && source) counts.set(source, (counts.get(source) ?? 0) + 1);
  }
  return [...counts].sort((one, other) => other[1] - one[1])[0]?.[0] ?? "";
}

function build() {
  built = signature();
  const open = new Set([...byId("plan-form").querySelectorAll("details[open]")].map((each) => each.dataset.group));
  const first = !byId("plan-form").childElementCount;
  const source = commonSource();
  setCommonSource(source);
  byId("plan-source").textContent = source ? `Where nothing else is said, a usual value is ${source}.` : "";
  byId("plan-form").replaceChildren(...state.form.map((group) => make("details", {
    class: "card group", dataset: { group: group.id }, open: first ? OPEN_AT_FIRST.includes(group.id) : open.has(group.id),
  }, make("summary", {}, group.title), fieldsOf(group))));
}

function fieldsOf(group) {
  if (group.list) return entries(group);
  const fields = make("div", { class: "group-fields" }, group.fields.map((each) => field(each, change)));
  if (!group.table) return [fields];
  if (get(plan(), group.table) === undefined) {
    return [make("div", { class: "group-tools" }, make("p", { class: "small" }, "Not part of this plan."),
      make("button", { type: "button", onclick: () => change(group.table, needed(group.fields, `${group.table}.`)) }, `Add: ${group.title.toLowerCase()}`))];
  }
  return [fields, make("div", { class: "group-tools" }, make("button", { type: "button", onclick: () => change(group.table, undefined) }, `Take out: ${group.title.toLowerCase()}`))];
}

/** One block for each entry of a list, with buttons to add and remove one. */
function entries(group) {
  const present = get(plan(), group.list) ?? [];
  const what = group.list.split(".").at(-1).replaceAll("_", " ");
  const blocks = present.map((_, place) => make("div", { class: "group-fields" },
    make("h3", {}, `${what[0].toUpperCase()}${what.slice(1)} ${place + 1}`),
    group.fields.map((each) => field({ ...each, path: each.path.replace("*", place) }, change)),
    make("div", { class: "group-tools" }, make("button", { type: "button", onclick: () => remove(group.list, place, what) }, `Remove ${what} ${place + 1}`))));
  const add = make("button", { type: "button", onclick: () => append(group, what) }, present.length ? `Add another ${what}` : `Add: ${what}`);
  return [...blocks, make("div", { class: "group-tools" }, add)];
}

/** The values that a new table or entry must have, to begin with. */
function needed(fields, before) {
  const pairs = fields.filter((each) => each.needed).map((each) => [each.path.slice(before.length), startOf(each)]);
  return pairs.filter(([, value]) => value !== null).reduce((table, [path, value]) => changed(table, path, value), {});
}

function startOf(about) {
  if (about.default !== null && about.default !== undefined) return about.default;
  if (about.choices) return about.choices[0].value;
  if (/year/.test(about.path) && about.min !== null) return Math.max(about.min, 10);
  return about.above ? about.min + 1 : about.min;
}

function remove(list, place, what) {
  const left = get(plan(), list).filter((_, number) => number !== place);
  change(list, left.length ? left : undefined);
  say(`The ${what} is taken out.`);
}

/** A new entry starts as the last one, some years later, or from what its fields need. */
function append(group, what) {
  const present = get(plan(), group.list) ?? [];
  const last = present.at(-1);
  const entry = last ? { ...last } : needed(group.fields, `${group.list}.*.`);
  if (last && Number.isInteger(last.year)) entry.year = last.year + 6;
  if (last?.residual_trees_per_ac) entry.residual_trees_per_ac = Math.round(last.residual_trees_per_ac * 0.6);
  change(group.list, [...present, entry]);
  say(`A ${what} is added.`);
}

/** Every problem at its field, and all of them in a summary with links. */
function showProblems() {
  const box = byId("problems");
  for (const wrong of byId("plan-form").querySelectorAll(".wrong")) wrong.remove();
  for (const input of byId("plan-form").querySelectorAll("[aria-invalid]")) {
    input.removeAttribute("aria-invalid");
    describe(input, null);
  }
  box.hidden = !state.problems.length;
  if (box.hidden) return;
  box.replaceChildren(
    make("h3", {}, state.problems.length === 1 ? "One value cannot be" : `${state.problems.length} values cannot be`),
    make("ul", {}, state.problems.map((problem, place) => make("li", {}, summaryOf(problem, place)))),
    make("button", { type: "button", onclick: takeBack }, "Take these changes back"),
  );
  if (state.view === "plan") state.problems.forEach(markField);
}

const inputOf = (problem) => {
  const all = [...byId("plan-form").querySelectorAll("[data-path]")];
  return all.find((input) => input.dataset.path === problem.field) ?? all.find((input) => problem.field && input.dataset.path.startsWith(`${problem.field}.`));
};

function summaryOf(problem, place) {
  const input = state.view === "plan" ? inputOf(problem) : null;
  const label = input?.closest(".field")?.dataset.label ?? problem.name ?? problem.field;
  const line = problem.line ? `, line ${problem.line}` : "";
  if (!input) return `${label}${line}: ${problem.message}`;
  return [make("a", { href: `#${input.id}`, dataset: { problem: place }, onclick: (event) => {
    event.preventDefault();
    input.closest("details").open = true;
    input.focus();
  } }, label), `${line}: ${problem.message}`];
}

function markField(problem, place) {
  const input = inputOf(problem);
  if (!input) return;
  const id = `wrong-${place}`;
  input.setAttribute("aria-invalid", "true");
  describe(input, id);
  input.closest(".field").append(make("p", { class: "wrong", id }, problem.message));
  input.closest("details").open = true;
}

function describe(input, extra) {
  input.setAttribute("aria-describedby", [input.dataset.help, extra].filter(Boolean).join(" "));
}

function takeBack() {
  draft = null;
  state.problems = [];
  show();
  showProblems();
  say("The plan is as it was before.");
}
