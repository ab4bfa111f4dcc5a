// Puts the page together: reads the address, asks for the first plan, and listens.

import * as address from "./address.js";
import * as api from "./api.js";
import { refit, startCharts } from "./charts.js";
import { listExamples, openExample, openText, startFiles, textOfThisTab } from "./files.js";
import { startField } from "./field.js";
import { startForm } from "./form.js";
import { byId } from "./html.js";
import { announce, startKept } from "./kept.js";
import { startMoney } from "./money.js";
import { startOdds } from "./odds.js";
import { startBest } from "./best.js";
import { startPicture } from "./picture.js";
import { withDifferences } from "./plan.js";
import { on, opened, propose, say, state, tell, trouble } from "./store.js";
import { startTimeline } from "./timeline.js";
import { resumeJobs } from "./jobs.js";
import { setUnits } from "./units.js";
import { startVersions } from "./versions.js";
import { goTo, startViews } from "./views.js";
import { startWait } from "./wait.js";

const FIRST_YEAR_SHOWN = 15;
let ready = false;
let later = null; // changes that an address makes to a file which is not open yet

function startParts() {
  for (const part of [startViews, startFiles, startPicture, startTimeline, startField, startKept, startMoney, startForm, startWait, startBest, startOdds, startVersions, startCharts]) part();
  byId("units").addEventListener("change", (event) => useUnits(event.target.value));
  on("version", () => {
    byId("title").textContent = state.current.plan.title || "A piece of land";
    document.title = `${state.current.plan.title || "Plan"} · Halfshade`;
    if (state.current.notice) trouble(state.current.notice);
  });
  on("view", ({ quiet } = {}) => { requestAnimationFrame(refit); write({ push: !quiet }); });
  for (const event of ["version", "moment", "units"]) on(event, () => write());
  for (const event of ["version", "view"]) on(event, linkViews);
  on("opened", () => {
    const waiting = later;
    later = null;
    if (waiting && waiting.file === state.file && waiting.set.length) propose(withDifferences(state.opened.plan, waiting.set));
  });
  on("busy", () => { if (ready && !state.busy && !state.problems.length) announce(); });
  window.addEventListener("hashchange", follow);
}

function write(how) {
  if (ready && !later) address.write(state, how);
}

/** A view opened in another tab shows the same plan. */
function linkViews() {
  if (!ready || later) return;
  for (const link of document.querySelectorAll("a[data-view]")) link.setAttribute("href", address.fragment({ ...state, view: link.dataset.view }));
}

function useUnits(name) {
  useUnitsQuietly(name);
  tell("units");
}

/** The address was changed from outside: back and forward move through the views; another one is a new visit. */
function follow() {
  if (!window.history.state?.own) { window.location.reload(); return; }
  const asked = address.read();
  if (state.units !== asked.units) useUnits(asked.units);
  Object.assign(state.moment, momentOf(asked));
  if (asked.view !== state.view) goTo(asked.view, { quiet: true });
  else tell("moment");
}

function momentOf(asked) {
  return { year: asked.year ?? FIRST_YEAR_SHOWN, after: asked.after, month: asked.month, system: asked.system ?? "silvopasture" };
}

/** The first plan: in the page already, or asked for; then what this tab or the address says. */
async function begin() {
  startParts();
  const asked = address.read();
  const inside = byId("first")?.textContent.trim();
  Object.assign(state.moment, momentOf(asked));
  useUnitsQuietly(asked.units);
  state.view = asked.view;
  if (inside && asked.view === "land" && !asked.example && !textOfThisTab()) show({ version: JSON.parse(inside), file: null });
  const first = await api.start();
  Object.assign(state, { form: first.form, examples: first.examples });
  listExamples();
  const mine = textOfThisTab();
  const other = asked.example ? await openExample(asked.example) : mine ? await openText(mine.text, mine.name) : false;
  if (!other && !state.opened) show(first);
  else if (!other) { state.file = first.file; state.versions[0].name = first.file ? `${first.file}, as opened` : "As opened"; }
  if (other) reveal();
  const belongs = !asked.file || asked.file === state.file;
  if (belongs && asked.set.length) await propose(withDifferences(state.opened.plan, asked.set));
  if (!belongs) {
    later = asked;
    trouble(`This address belongs to the plan file “${asked.file}”, which this page has not got. Open it with “Open a plan file …”, and the changes in the address are made to it.`);
  }
  goTo(asked.view, { quiet: true });
  ready = true;
  write();
  linkViews();
  resumeJobs();
}

function useUnitsQuietly(name) {
  state.units = name;
  document.body.classList.toggle("metric", name === "metric");
  setUnits(name);
  document.querySelector(`#units input[value="${name}"]`).checked = true;
}

function show({ version, file }) {
  state.current = version;
  byId("opening").hidden = true;
  goTo(state.view, { quiet: true });
  opened(version, { file });
}

function reveal() {
  byId("opening").hidden = true;
  goTo(state.view, { quiet: true });
}

begin().catch((fault) => {
  byId("opening").hidden = true;
  trouble(fault.message);
  say(fault.message);
  if (!(fault instanceof api.Refused)) throw fault;
});
