// The odds: the plan through many draws of what may happen.

import { drawChart, valueAxis, yearAxis } from "./charts.js";
import { byId, color, make, table } from "./html.js";
import { jobPanel } from "./jobs.js";
import { on } from "./store.js";
import { shown, unitName } from "./units.js";
import { capital, dollars, percent, SYSTEM_ORDER } from "./words.js";

const DRAWS = 500, FIELDS = 20;
let result = null;

export function startOdds() {
  const draws = make("input", { type: "number", min: 50, max: 20000, step: 50, value: DRAWS, id: "draws" });
  jobPanel({ place: "odds-job", kind: "odds", label: "Draw the odds", done: (job) => { result = job.result; show(); },
    extra: { controls: make("label", { for: "draws" }, "Draws ", draws), read: () => ({ draws: Number(draws.value) || DRAWS }) } });
  on("opened", () => { result = null; byId("odds-result").hidden = true; });
  on("units", () => { if (result) show(); });
}

const names = () => SYSTEM_ORDER.filter((name) => result.systems[name]);
const title = (name) => capital(result.systems[name].name);
const money = (value) => (Number.isFinite(value) ? dollars(shown(value, "$/ac"), { yearly: true }) : "–");

function show() {
  byId("odds-result").hidden = false;
  byId("odds-sentence").textContent = result.sentence;
  dots();
  fan();
  byId("odds-table").replaceChildren(table({
    caption: `Equal annual income, $ ${unitName("per_ac")} a year`, head: ["Use", "One in ten is under", "Half are under", "One in ten is over", "Mean", "If nothing strikes", "Stand lost"],
    rows: names().map((name) => {
      const { equal_annual_income_per_ac: income, income_if_nothing_strikes_per_ac: untouched, chance_stand_lost: lost } = result.systems[name];
      return [title(name), money(income.p10), money(income.p50), money(income.p90), money(income.mean), money(untouched), percent(lost)];
    }),
  }));
  byId("odds-notes").replaceChildren(...(result.notes ?? []).map((note) => make("li", {}, note.replace("Draw more with --draws.", "Ask for more draws."))));
}

/** Plain odds: of twenty such fields, on how many each use comes first. */
function dots() {
  const shares = Object.entries(result.earns_most ?? {}).filter(([name]) => result.systems[name]).sort((one, other) => other[1] - one[1]);
  const fields = twentieths(shares.map(([, share]) => share));
  byId("odds-dots").replaceChildren(...shares.map(([name, share], place) => {
    const row = Array.from({ length: FIELDS }, (_, number) => {
      const dot = make("i", { class: number < fields[place] ? "full" : null });
      if (number < fields[place]) dot.style.background = color(`system-${name}`);
      return dot;
    });
    return make("div", { class: "dots-line" }, make("p", {}, `${title(name)}: first on ${fields[place]} of ${FIELDS} such fields (${percent(share)} of the draws)`), make("div", { class: "dots", "aria-hidden": "true" }, row));
  }));
}

/** Whole fields of twenty that add up to twenty. */
function twentieths(shares) {
  const whole = shares.map((share) => Math.floor(share * FIELDS));
  const rests = shares.map((share, place) => [share * FIELDS - whole[place], place]).sort((one, other) => other[0] - one[0]);
  const missing = FIELDS - whole.reduce((sum, each) => sum + each, 0);
  for (const [, place] of rests.slice(0, missing)) whole[place] += 1;
  return whole;
}

function fan() {
  const bands = result.fan ?? {};
  const shownNames = names().filter((name) => bands[name]);
  byId("chart-fan").closest("figure").hidden = !shownNames.length;
  if (!shownNames.length) return;
  const value = (each) => Math.round(shown(each, "$/ac"));
  const years = bands[shownNames[0]].p50.map((_, year) => year);
  const band = (name) => {
    const { p10, p50, p90 } = bands[name];
    const tone = color(`system-${name}`);
    const hidden = { type: "line", stack: `band ${name}`, stackStrategy: "all", symbol: "none", lineStyle: { opacity: 0 }, tooltip: { show: false }, silent: true, color: tone };
    return [{ ...hidden, data: p10.map(value) }, { ...hidden, data: p90.map((high, year) => value(high) - value(p10[year])), areaStyle: { color: tone, opacity: 0.16 } },
      { name: title(name), type: "line", data: p50.map(value), symbol: "none", color: tone, lineStyle: { width: 2.2 } }];
  };
  drawChart("fan", {
    words: `Cash added up, $ ${unitName("per_ac")}, end values left out. Line: half of the draws lie above; band: eight in ten lie within.`,
    options: { xAxis: yearAxis(years), yAxis: valueAxis(), series: shownNames.flatMap(band), legend: { data: shownNames.map(title) }, tooltip: { valueFormatter: (each) => dollars(each) } },
    numbers: {
      caption: `Cash added up, $ ${unitName("per_ac")}`, head: ["Year", ...shownNames.flatMap((name) => [`${title(name)}, one in ten under`, "half under", "one in ten over"])],
      rows: years.map((year) => [year, ...shownNames.flatMap((name) => [bands[name].p10, bands[name].p50, bands[name].p90].map((each) => money(each[year])))]),
    },
  });
}
