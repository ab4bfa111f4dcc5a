// Find the best plan: start, follow, cancel; the result opens as a new version beside the old one.

import { byId, table } from "./html.js";
import { jobPanel } from "./jobs.js";
import { accepted, keep, on, say, state } from "./store.js";
import { goTo } from "./views.js";
import { shown, unitName } from "./units.js";
import { capital, dollars } from "./words.js";

let found = null;

export function startBest() {
  jobPanel({ place: "best-job", kind: "optimize", label: "Find the best plan", done: (job) => { found = job; show(); } });
  byId("best-open").addEventListener("click", open);
  on("opened", () => { found = null; byId("best-result").hidden = true; });
  on("units", () => { if (found) show(); });
}

/** Keep what is in hand, then show the best plan as a version of its own. */
function open() {
  if (!found?.version) return;
  if (state.kept !== state.current) keep("Before the search");
  accepted(found.version);
  state.versions.push({ name: "Best plan found", version: found.version });
  goTo("land");
  say("The best plan found is shown. Keep it, or go back with Undo.");
}

const worth = (value) => (Number.isFinite(value) ? dollars(shown(value, "$/ac")) : "–");
const money = (value) => (Number.isFinite(value) ? dollars(shown(value, "$/ac"), { yearly: true }) : "–");

function show() {
  const { result } = found;
  byId("best-result").hidden = false;
  byId("best-open").disabled = !found.version;
  byId("best-sentence").textContent = result.sentence.replace("The plan of the file as it is written", "The plan in hand").replace("The plan of the file", "The plan in hand");
  byId("best-proof").textContent = result.proof ?? "";
  const rows = [result.best, ...(result.runners_up ?? [])];
  const extra = [["The plan in hand", result.file], ["Trees alone, at their best", result.baselines?.plantation], ["Grass alone, at its best", result.baselines?.pasture]].filter(([, each]) => each);
  byId("best-table").replaceChildren(table({
    caption: `$ ${unitName("per_ac")} a year is the equal annual income`, head: ["Place", said("Use"), said("Plan"), `$ ${unitName("per_ac")} a year`, `Worth today, $ ${unitName("per_ac")}`],
    rows: [...rows.map((each, place) => [place ? `No. ${place + 1}` : "Best", ...line(each)]), ...extra.map(([name, each]) => [name, ...line(each)])],
    marked: (_, place) => place === 0,
  }));
  const decisions = result.decisions ?? [];
  byId("best-decisions-card").hidden = !decisions.length;
  byId("best-decisions").replaceChildren(table({
    caption: `Land expectation of the best plan with and without each decision, $ ${unitName("per_ac")}`, head: ["Decision", "With it", "Without it", "Worth"],
    rows: decisions.map((each) => [{ text: capital(each.decision ?? each.name ?? ""), words: true }, worth(each.with_it), worth(each.without_it), worth(each.worth)]),
  }));
}

const said = (text) => ({ text, words: true });
const line = (each) => [said(each.name), said(each.plan), money(each.equal_annual_income_per_ac), worth(each.npv_per_ac)];
