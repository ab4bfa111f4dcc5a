// The plan's form, made from the description that the server gives of every field.

import { byId, make } from "./html.js";
import { field, fill } from "./fields.js";
import { changed, get } from "./plan.js";
import { on, propose, say, state } from "./store.js";

const OPEN_AT_FIRST = 3;
let draft = null; // the plan in hand with changes that were refused, until they are right or taken back
let built = "";

export function startForm() {
  byId("plan-form").addEventListener("submit", (event) => event.preventDefault());
  on("version", () => { draft = null; show(); });
  on("units", show);
  on("view", show);
  on("problems", showProblems);
}

const plan = () => draft ?? state.current.plan;

/** Take a value of the form into the plan and have it worked through; undefined takes the value out. */
function change(path, value) {
  draft = changed(plan(), path, value);
  propose(draft);
}

/** Fields of a list of tables, such as thinnings, say so by a star in their path. */
const listOf = (path) => /^(.+?)\.\*\./.exec(path)?.[1] ?? null;

function signature() {
  const lists = state.form.flatMap((group) => group.fields.map((each) => listOf(each.path))).filter(Boolean);
  return JSON.stringify([state.units, lists.map((list) => (get(plan(), list) ?? []).length)]);
}

function show() {
  if (!state.current || state.view !== "plan") return;
  if (built !== signature()) build();
  for (const input of byId("plan-form").querySelectorAll("[data-path]")) fill(input, get(plan(), input.dataset.path));
  showProblems();
}

function build() {
  built = signature();
  const open = new Set([...byId("plan-form").querySelectorAll("details[open]")].map((each) => each.dataset.group));
  const first = !byId("plan-form").childElementCount;
  byId("plan-form").replaceChildren(...state.form.map((group, place) => make("details", {
    class: "card group", dataset: { group: group.id }, open: first ? place < OPEN_AT_FIRST : open.has(group.id),
  }, make("summary", {}, group.title), group.help ? make("p", { class: "small" }, group.help) : null, fieldsOf(group))));
}

function fieldsOf(group) {
  const single = group.fields.filter((each) => !listOf(each.path));
  const lists = [...new Set(group.fields.map((each) => listOf(each.path)).filter(Boolean))];
  const parts = single.length ? [make("div", { class: "group-fields" }, single.map((each) => field(each, change)))] : [];
  for (const list of lists) {
    const members = group.fields.filter((each) => listOf(each.path) === list);
    parts.push(...entries(list, members, group));
  }
  return parts;
}

/** One block for each entry of a list, with buttons to add and remove one. */
function entries(list, members, group) {
  const present = get(plan(), list) ?? [];
  const what = (group.entry ?? list.split(".").at(-1)).replaceAll("_", " ");
  const blocks = present.map((_, place) => make("div", { class: "group-fields" },
    make("h4", {}, `${what[0].toUpperCase()}${what.slice(1)} ${place + 1}`),
    members.map((each) => field({ ...each, path: each.path.replace("*", place) }, change)),
    make("div", { class: "group-tools" }, make("button", { type: "button", onclick: () => remove(list, place, what) }, `Remove ${what} ${place + 1}`))));
  const add = make("button", { type: "button", onclick: () => append(list, members, what) }, present.length ? `Add another ${what}` : `Add a ${what}`);
  return [...blocks, make("div", { class: "group-tools" }, add)];
}

function remove(list, place, what) {
  const left = get(plan(), list).filter((_, number) => number !== place);
  change(list, left.length ? left : undefined);
  say(`The ${what} is taken out.`);
}

/** A new entry starts as the last one, some years later, or from what its fields need. */
function append(list, members, what) {
  const present = get(plan(), list) ?? [];
  const last = present.at(-1);
  const needed = Object.fromEntries(members.filter((each) => each.required ?? each.default !== null)
    .map((each) => [each.path.split(".*.")[1], each.default ?? each.min ?? ""]).filter(([, value]) => value !== ""));
  const entry = last ? { ...last } : needed;
  if (last && Number.isInteger(last.year)) entry.year = last.year + 6;
  if (last?.residual_trees_per_ac) entry.residual_trees_per_ac = Math.round(last.residual_trees_per_ac * 0.6);
  change(list, [...present, entry]);
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
