// What the plan earns: the answer, the three uses side by side, and four charts.

import { drawChart, valueAxis, yearAxis } from "./charts.js";
import { byId, color, make } from "./html.js";
import { on, state } from "./store.js";
import { shown, unitName } from "./units.js";
import { capital, count, dollars, ENTERPRISES, percent, PRODUCTS, SYSTEM_ORDER } from "./words.js";

const FINDINGS_SHOWN = 4;
const DASH = { silvopasture: "solid", plantation: "dashed", pasture: "solid", open_later: [8, 3, 2, 3], kept_up: "dotted" };
const WOOD_COLORS = { pulpwood: "#c9b79a", chip_and_saw: "#a3835b", sawtimber: "#7a5c40", pole: "#3f2d1f" };

export function startMoney() {
  on("version", () => { say(); charts(); });
  on("units", () => { say(); charts(); });
}

const names = () => SYSTEM_ORDER.filter((name) => state.current.comparison.systems[name]);
const systemOf = (name) => state.current.comparison.systems[name];
const title = (name) => capital(systemOf(name).name);
const money = (value) => shown(value, "$/ac");
const perYear = () => `$ ${unitName("per_ac")} a year`;

function say() {
  const { words, comparison } = state.current;
  byId("answer").textContent = [words.answer].flat().join(" ");
  const more = words.findings.filter((sentence) => ![words.answer].flat().includes(sentence));
  byId("findings").replaceChildren(...more.slice(0, FINDINGS_SHOWN).map((sentence) => make("li", {}, sentence)));
  byId("findings-rest").replaceChildren(...more.slice(FINDINGS_SHOWN).map((sentence) => make("li", {}, sentence)));
  byId("more-findings").hidden = more.length <= FINDINGS_SHOWN;
  byId("cautions").replaceChildren(...(words.cautions ?? []).map((sentence) => make("li", {}, sentence)));
  const income = (name) => systemOf(name).equal_annual_income_per_ac;
  const all = names().map(income);
  const [low, high] = [Math.min(0, ...all), Math.max(0, ...all)];
  byId("incomes").replaceChildren(...[...names()].sort((one, other) => income(other) - income(one)).map((name) => {
    const post = make("span", { class: "post" });
    post.style.background = color(`system-${name}`);
    post.style.left = `${(100 * (Math.min(income(name), 0) - low)) / (high - low || 1)}%`;
    post.style.width = `${(100 * Math.abs(income(name))) / (high - low || 1)}%`;
    return make("div", { class: "income" }, make("span", { class: "name" }, title(name)), make("span", { class: "rail", "aria-hidden": "true" }, post),
      make("span", { class: "sum" }, `${dollars(money(income(name)), { yearly: true })} ${unitName("per_ac")} a year`,
        make("span", { class: "of-field" }, `about ${dollars(income(name) * comparison.area_ac)} on the whole field`)));
  }));
}

function charts() {
  incomeChart();
  cashChart();
  growthChart();
  woodChart();
}

const line = (name, data) => ({ name: title(name), type: "line", data, showSymbol: false, color: color(`system-${name}`), lineStyle: { width: 2.2, type: DASH[name] }, emphasis: { disabled: true } });
const whole = (value) => Math.round(value * 10) / 10;
const tip = (format) => ({ valueFormatter: (value) => (value === null || value === undefined ? "–" : format(value)) });

function incomeChart() {
  const version = state.current;
  const own = version.scene.systems.silvopasture.cash_by_enterprise ?? {};
  const years = systemOf("silvopasture").years.map((row) => row.year);
  const enterprises = Object.keys(own);
  const bars = enterprises.map((name) => ({ name: capital(ENTERPRISES[name] ?? name), type: "bar", stack: "income", barCategoryGap: "25%",
    data: own[name].map((value) => whole(money(value))), color: color(`enterprise-${name}`) || "#8c8c7a", emphasis: { disabled: true } }));
  const others = names().filter((name) => name !== "silvopasture");
  const lines = others.map((name) => line(name, systemOf(name).years.map((row) => whole(money(row.cash_per_ac)))));
  const cash = systemOf("silvopasture").years.map((row) => money(row.cash_per_ac));
  const limit = ordinary([...cash, ...lines.flatMap((each) => each.data)]);
  const beyond = Math.max(...cash) > limit.max || Math.min(...cash) < limit.min ? " Harvest bars run past the edge; the table has them in full." : "";
  drawChart("income", {
    words: `Bars: what each part of “${systemOf("silvopasture").name}” brings and costs, ${perYear()}; lines: ${others.map((name) => systemOf(name).name).join(" and ")}.${beyond}`,
    options: { xAxis: yearAxis(years), yAxis: { ...valueAxis(), ...limit }, series: [...bars, ...lines], tooltip: tip((value) => dollars(value)) },
    numbers: {
      caption: `${perYear()}, before loans`, head: ["Year", ...bars.map((bar) => bar.name), title("silvopasture"), ...others.map(title)],
      rows: years.map((year) => [year, ...enterprises.map((name) => dollars(money(own[name][year]))), dollars(cash[year]), ...others.map((name) => dollars(money(systemOf(name).years[year].cash_per_ac)))]),
    },
  });
}

/** An axis for ordinary years: a harvest worth twenty of them would flatten all others. */
function ordinary(values) {
  const sorted = [...values].sort((one, other) => one - other);
  const at = (share) => sorted[Math.round(share * (sorted.length - 1))];
  const reach = (end, extreme) => {
    const usual = Math.max(Math.abs(end) * 1.6, 60);
    return Math.abs(extreme) > usual ? Math.ceil(usual / 50) * 50 : null;
  };
  const [max, min] = [reach(at(0.95), sorted.at(-1)), reach(at(0.03), sorted[0])];
  return { max: max ?? Math.ceil(sorted.at(-1) / 50) * 50, min: min === null ? Math.floor(sorted[0] / 50) * 50 : -min };
}

function summed(values) {
  let sum = 0;
  return values.map((value) => (sum += value));
}

function cashChart() {
  const years = systemOf("silvopasture").years.map((row) => row.year);
  const sums = names().map((name) => summed(systemOf(name).years.map((row) => money(row.cash_per_ac))));
  const deepest = systemOf("silvopasture").deepest_cash_per_ac;
  const back = systemOf("silvopasture").payback_year;
  drawChart("cash", {
    words: `Added up, not discounted, $ ${unitName("per_ac")}. The plan is out as much as ${dollars(-money(deepest))} ${unitName("per_ac")}${back === null ? " and does not have it all back within the years shown" : ` and has it back in year ${back}`}.`,
    options: { xAxis: yearAxis(years), yAxis: valueAxis(), series: names().map((name, place) => line(name, sums[place].map(whole))), tooltip: tip((value) => dollars(value)) },
    numbers: { caption: `Cash added up, $ ${unitName("per_ac")}`, head: ["Year", ...names().map(title)], rows: years.map((year) => [year, ...sums.map((sum) => dollars(sum[year]))]) },
  });
}

function growthChart() {
  const rows = systemOf("silvopasture").years;
  const years = rows.map((row) => row.year);
  const light = names().filter((name) => name !== "pasture" && name !== "kept_up");
  const least = rows.slice(1).reduce((low, row) => (row.light_warm < low.light_warm ? row : low), rows[1] ?? rows[0]);
  const grass = { ...line("silvopasture", rows.map((row) => Math.round(row.forage_share_of_open * 100))), name: "Grass grown, of open land", color: color("grass"), areaStyle: { opacity: 0.18 }, lineStyle: { width: 2 } };
  drawChart("growth", {
    words: `Light on the ground in the warm season and grass grown, in % of open land. Least light: ${percent(least.light_warm)} in year ${least.year}.`,
    options: {
      xAxis: yearAxis(years), yAxis: { ...valueAxis(), min: 0, max: 100 },
      series: [grass, ...light.map((name) => ({ ...line(name, systemOf(name).years.map((row) => Math.round(row.light_warm * 100))), name: `Light, ${systemOf(name).name}` }))], tooltip: tip((value) => `${value} %`),
    },
    numbers: {
      caption: "Share of open land", head: ["Year", "Grass grown", `Grass, ${unitName("lb/ac")}`, ...light.map((name) => `Light, ${systemOf(name).name}`)],
      rows: rows.map((row, year) => [row.year, percent(row.forage_share_of_open), count(shown(row.forage_lb_ac, "lb/ac"), 0), ...light.map((name) => percent(systemOf(name).years[year].light_warm))]),
    },
  });
}

function woodChart() {
  const sold = names().flatMap((name) => systemOf(name).years.map((row) => ({ name, year: row.year, wood: row.wood_ton_ac })))
    .filter(({ wood }) => Object.values(wood).some((tons) => tons > 0.05));
  const products = Object.keys(PRODUCTS).filter((product) => sold.some(({ wood }) => wood[product] > 0.05));
  const tons = (value) => shown(value, "ton/ac");
  const unit = unitName("ton/ac").replace("ton/ac", "green tons an acre").replace("t/ha", "green tonnes a hectare");
  const label = ({ name, year }) => `${title(name)}, year ${year}`;
  const narrow = byId("chart-wood").clientWidth < 420;
  const height = `${Math.max(11, 4 + sold.length * (narrow ? 2.7 : 1.7))}rem`;
  byId("chart-wood").style.height = sold.length ? height : "4rem";
  drawChart("wood", {
    words: sold.length ? `What each cut sells, ${unit}; a truck carries about 26 tons.` : "No wood is sold within these years.",
    options: {
      grid: { top: 30 }, yAxis: { type: "category", inverse: true, data: sold.map(label), axisTick: { show: false }, axisLabel: { width: narrow ? 105 : 215, overflow: "break", lineHeight: 13 } }, xAxis: valueAxis(),
      series: products.map((product) => ({ name: capital(PRODUCTS[product]), type: "bar", stack: "wood", color: WOOD_COLORS[product], data: sold.map(({ wood }) => whole(tons(wood[product]))), emphasis: { disabled: true } })),
      tooltip: { axisPointer: { type: "shadow" }, ...tip((value) => count(value)) },
    },
    numbers: { caption: capital(unit), head: ["Cut", ...products.map((product) => capital(PRODUCTS[product])), "Loads, whole field"],
      rows: sold.map((cut) => [label(cut), ...products.map((product) => count(tons(cut.wood[product]))), count((Object.values(cut.wood).reduce((sum, each) => sum + each, 0) * state.current.comparison.area_ac) / 26, 0)]) },
  });
}
