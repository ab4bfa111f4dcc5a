// The plan's rows on a field: whose field it is, what is asked of the server, and what is shown of the answer.

import * as api from "./api.js";
import { startCompass, stand } from "./compass.js";
import { drawMap, turnMap } from "./fieldmap.js";
import { buildOptions, showUsual } from "./fieldoptions.js";
import { showProblems, takeBackProblems } from "./fieldtrouble.js";
import { countsOf, degrees, directionWords, fieldSize, keyOf, mapWords, turnedWords } from "./fieldwords.js";
import { byId, make } from "./html.js";
import { changed, get } from "./plan.js";
import { latestPlan, on, propose, say, state } from "./store.js";
import { capital, count } from "./words.js";
import { shown as inUnits } from "./units.js";

const MOST_BYTES = 1_000_000; // of a whole question, as the server has it
const NAME_KEPT = "field outline"; // only its name, so that a reload can say what it has lost
const AZIMUTH = "trees.layout.row_azimuth_deg";

const mine = { text: null, name: null, number: 0, options: {}, heading: null, best: false };
let answer = null; // the last layout, with the question it answers
let planned = null; // the layout in the plan's own direction, for what turning changes
let frame = null;
let planRan = 0; // the plan's direction when it was last looked at
let seen = false;
let asking = false;
let again = false;

export function startField() {
  startCompass({ turn, heading, settle: () => say(answer ? `${capital(directionWords(azimuth()))}. ${turnedWords(answer.layout)}` : "") });
  byId("to-ground").addEventListener("click", () => {
    byId("ground").scrollIntoView({ block: "start" });
    byId("ground-handle").focus({ preventScroll: true });
  });
  byId("ground-best").addEventListener("click", findBest);
  byId("ground-back").addEventListener("click", () => turn(planAzimuth()));
  byId("ground-use").addEventListener("click", use);
  byId("ground-take").addEventListener("click", take);
  byId("ground-file").addEventListener("change", openOutline);
  byId("ground-invented").addEventListener("click", () => takeField(null, null));
  on("opened", () => Object.assign(mine, { heading: null }));
  on("version", follow);
  on("units", () => { build(); draw(); });
  on("view", () => draw());
  build();
  new IntersectionObserver((entries) => {
    if (!entries.some((each) => each.isIntersecting)) return;
    seen = true;
    refresh();
  }, { rootMargin: "150px" }).observe(byId("ground"));
  let width = 0;
  new ResizeObserver(() => {
    if (byId("rose").clientWidth !== width) { width = byId("rose").clientWidth; draw(); }
  }).observe(byId("rose"));
}

const planAzimuth = () => (((get(state.current?.plan ?? {}, AZIMUTH) ?? 0) % 180) + 180) % 180;
const heading = () => mine.heading ?? planAzimuth();
const azimuth = () => heading() % 180;
const hasRows = () => Boolean(state.current?.plan.trees && !state.current.plan.stand);

/** What of the plan and of the page a layout depends on, direction aside. */
function ground() {
  const { trees, equipment, land, title } = state.current.plan;
  const { row_azimuth_deg: _, ...pattern } = trees.layout ?? {};
  const size = [land.acres, land.latitude_deg];
  return JSON.stringify([{ ...trees, layout: pattern }, equipment, size, title, mine.number, mine.options]);
}

const question = () => ({ plan: state.current.plan, field: mine.text, azimuth: mine.best ? null : azimuth(), options: { ...mine.options, best_azimuth: mine.best || null } });
const isAnswered = () => answer !== null && answer.ground === ground() && Math.abs(answer.azimuth - azimuth()) < 1e-6;

const isPlanned = () => planned !== null && planned.ground === ground() && planned.azimuth === planAzimuth();
const isTurned = () => Math.abs(azimuth() - planAzimuth()) > 1e-6;

/** The plan is another one: where its direction changed the map turns with it, and rows that changed are laid anew. */
function follow() {
  if (planRan !== planAzimuth() && isTurned()) mine.heading = null;
  planRan = planAzimuth();
  draw();
  refresh();
}

/** Have the rows laid. While one answer is on its way only the newest question waits. */
async function refresh() {
  if (!seen || !hasRows()) return;
  again = true;
  if (asking) return;
  asking = true;
  byId("ground").setAttribute("aria-busy", "true");
  while (again && hasRows()) {
    again = false;
    if (isAnswered() && !mine.best) break;
    await askOnce();
  }
  if (hasRows() && isAnswered() && isTurned() && !isPlanned()) await askPlanned();
  asking = false;
  byId("ground").removeAttribute("aria-busy");
  if (again) refresh();
}

/** The layout in the plan's own direction, where it has not been on the map yet. */
async function askPlanned() {
  const [on_, at] = [ground(), planAzimuth()];
  try {
    planned = { ground: on_, azimuth: at, layout: (await api.layout({ ...question(), azimuth: at })).layout };
    draw();
  } catch {
    planned = null; // the plan's own direction may hold no row; then nothing is compared
  }
}

async function askOnce() {
  const [asked, on_] = [question(), ground()];
  const wasBest = mine.best;
  try {
    const found = await api.layout(asked);
    const at = found.layout.azimuth.true_deg;
    answered(found, on_, wasBest ? at : asked.azimuth);
    if (wasBest) Object.assign(mine, { best: false, heading: at });
    takeBackProblems();
    draw();
    if (wasBest) say(`The best direction found: ${directionWords(at)}, for ${found.words.reason}.`);
  } catch (fault) {
    mine.best = false;
    refusedHere(fault);
  }
}

function answered(found, on_, at) {
  answer = { ...found, ground: on_, azimuth: at };
  if (Math.abs(at - planAzimuth()) < 1e-6) planned = { ground: on_, azimuth: planAzimuth(), layout: found.layout };
}

/** Turn the rows to a heading on the compass; what can be turned turns at once, counts follow. */
function turn(to) {
  mine.heading = ((to % 360) + 360) % 360;
  showDirection();
  if (frame && answer) turnMap(byId("ground-drawing"), frame, heading(), { pending: !isAnswered() });
  refresh();
}

function findBest() {
  mine.best = true;
  say("Looking at directions …");
  byId("ground-says").textContent = "Looking at directions …";
  refresh();
}

function build() {
  buildOptions(byId("ground-options"), mine.options, (name, value) => {
    if (value === undefined) delete mine.options[name];
    else mine.options[name] = value;
    refresh();
  });
  if (answer) showUsual(byId("ground-options"), answer.layout);
}

function showDirection() {
  const now = azimuth();
  byId("ground-says").textContent = `${capital(directionWords(now))}.`;
  if (document.activeElement !== byId("ground-degrees")) byId("ground-degrees").value = degrees(heading());
  const off = mine.options.declination;
  byId("ground-compass").textContent = Number.isFinite(off) ? `${degrees((((heading() - off) % 360) + 360) % 360)}° by compass` : "";
  byId("ground-back").disabled = Math.abs(now - planAzimuth()) < 1e-6;
  if (frame) stand(frame, heading());
}

function draw() {
  if (!state.current || state.view !== "land") return;
  const rows = hasRows();
  byId("ground-none").hidden = rows;
  byId("ground-parts").hidden = byId("ground-how").hidden = !rows;
  if (!rows) {
    byId("ground-none").textContent = state.current.plan.stand ? "The trees of this plan stand already, where they stand: there are no rows to lay out." : "This plan has no trees, so there are no rows to lay out.";
    return;
  }
  showWhose();
  if (!answer) return;
  const { layout, picture, words } = answer;
  frame = drawMap(byId("ground-drawing"), picture, { pattern: layout.pattern, declination: mine.options.declination, words: mapWords(layout) });
  showDirection();
  turnMap(byId("ground-drawing"), frame, heading(), { pending: Math.abs(answer.azimuth - azimuth()) > 1e-6 });
  byId("ground-counts").replaceChildren(...countsOf(layout, isPlanned() && planned.ground === answer.ground && isTurned() ? planned.layout : null));
  byId("ground-key").replaceChildren(...keyOf(layout));
  byId("ground-first").textContent = words.first_row;
  byId("ground-others").hidden = !words.reason;
  byId("ground-others").replaceChildren(...(words.reason ? [make("li", {}, `Best here: ${words.reason}.`)] : []), ...words.others.map((text) => make("li", {}, `${capital(text)}.`)));
  byId("ground-notes").replaceChildren(...[...words.notes, ...words.machines.map((text) => `${capital(text)}.`), ...words.cautions].map((text) => make("li", {}, text)));
  showUsual(byId("ground-options"), layout);
  showHeld();
}

/** Whether the plan reckons with what the map shows. */
function showHeld() {
  const pairs = Object.entries(answer.use);
  const same = (one, other) => JSON.stringify(sorted(one)) === JSON.stringify(sorted(other));
  const held = pairs.every(([path, value]) => same(get(state.current.plan, path) ?? null, value));
  const some = get(state.current.plan, "land.ground");
  byId("ground-use").disabled = held || !isAnswered();
  const net = count(inUnits(answer.layout.net_ac, "ac"), 1);
  byId("ground-held").textContent = held ? `The plan reckons with this field and this direction: ${net} of ${fieldSize(answer.layout)} carry rows and alleys.`
    : some ? "The plan reckons with other acres or another direction than this map shows."
      : "The plan reckons as if rows filled the whole field, without headlands and corners.";
}

const sorted = (value) => (value && typeof value === "object" ? Object.fromEntries(Object.entries(value).sort(([one], [other]) => one.localeCompare(other))) : value);

function use() {
  const pairs = Object.entries(answer.use);
  propose(pairs.reduce((plan, [path, value]) => changed(plan, path, value), latestPlan()));
}

function showWhose() {
  const lost = mine.text === null ? lostName() : null;
  const size = answer ? fieldSize(answer.layout) : "";
  byId("ground-invented").hidden = mine.text === null;
  byId("ground-whose").textContent = mine.text !== null ? `This is “${mine.name}”${size ? `, ${size}` : ""}. It stays in this page until the page is closed or loaded again.`
    : lost ? `The page was loaded again and no longer holds “${lost}”: open it once more. Until then the map shows an invented field.`
      : `The map shows an invented field${size ? ` of ${size}` : ""}. Open the outline of your own, GeoJSON from any map program; it goes to the program on this machine and no further.`;
}

function lostName() {
  return sessionStorage.getItem(NAME_KEPT);
}

async function openOutline(event) {
  const [file] = event.target.files;
  if (!file) return;
  const text = file.size > MOST_BYTES ? null : await file.text();
  event.target.value = "";
  if (text === null || new Blob([JSON.stringify({ ...question(), field: text })]).size > MOST_BYTES) {
    refusedHere({ problems: [{ field: "field", message: `“${file.name}” is larger than this page takes (1 MB). Save only the field's outline, with fewer points.` }] });
    return;
  }
  await takeField(text, file.name);
}

/** Show another field; where it is refused the one before stays. */
async function takeField(text, name) {
  const before = { text: mine.text, name: mine.name, number: mine.number };
  Object.assign(mine, { text, name, number: before.number + 1 });
  const refused = await onlyAsk();
  if (refused?.problems?.some((each) => each.field === "field")) Object.assign(mine, before);
  else if (name === null) sessionStorage.removeItem(NAME_KEPT);
  else sessionStorage.setItem(NAME_KEPT, name);
  showWhose();
  if (!refused) say(name === null ? "The map shows the invented field." : `${name} is on the map.`);
}

async function onlyAsk() {
  seen = true;
  try {
    const found = await api.layout(question());
    answered(found, ground(), azimuth());
    takeBackProblems();
    draw();
    refresh(); // how the plan's own direction compares
    return null;
  } catch (fault) {
    refusedHere(fault);
    return fault;
  }
}

function refusedHere(fault) {
  showProblems(fault);
  if (answer) draw();
}

async function take() {
  document.body.classList.add("busy");
  say("Making the files …");
  try {
    const { plan, ...more } = question();
    say(`The files are ready. ${await api.download("/api/download/ground", plan, "on-the-ground.zip", more)}`);
  } catch (fault) {
    refusedHere(fault);
  }
  document.body.classList.remove("busy");
}
