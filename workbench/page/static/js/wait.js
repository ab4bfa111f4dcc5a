// Thin now or wait: the sentence, the worth by the year of thinning, the price to act at, gains and losses.

import { drawChart, valueAxis } from "./charts.js";
import { byId, color, make, table } from "./html.js";
import { jobPanel } from "./jobs.js";
import { openExample } from "./files.js";
import { on, state } from "./store.js";
import { shown, unitName } from "./units.js";
import { capital, count, dollars, percent } from "./words.js";

let result = null;

export function startWait() {
  const { start, panel } = jobPanel({ place: "wait-job", kind: "wait", label: "Weigh it", done: (job) => { result = job.result; show(); } });
  const planted = make("div", {},
    make("p", {}, "This plan plants its trees, so there is nothing to thin yet. The question needs trees that stand: open a plan with a stand of your own, or the packaged one."),
    make("button", { type: "button", onclick: () => openExample("standing-pines") }, "Open the example with standing pines"));
  panel.append(planted);
  on("version", () => {
    const stands = Boolean(state.current.plan.stand);
    planted.hidden = stands;
    start.hidden = !stands;
  });
  on("opened", () => { result = null; byId("wait-result").hidden = true; });
  on("units", () => { if (result) show(); });
}

const money = (value) => (value === null || value === undefined ? "cannot be done" : dollars(shown(value, "$/ac")));

function choices() {
  return [{ years: 0, ...result.now }, ...result.wait].filter((each) => Number.isFinite(each.years));
}

function show() {
  byId("wait-result").hidden = false;
  byId("wait-sentence").textContent = result.sentence;
  worth();
  price();
  trade();
  byId("wait-notes").replaceChildren(...(result.notes ?? []).map((note) => make("li", {}, note.replace("no [[price_path]] states it. Replace it by", "the plan does not say it. Say under “How prices move”"))));
}

function worth() {
  const rows = choices();
  const value = (each) => (Number.isFinite(each.present_value_per_ac) ? Math.round(shown(each.present_value_per_ac, "$/ac")) : null);
  const flat = (each) => rows.map(() => value(each));
  const year = (each) => (each.years ? `in ${each.years}` : "now");
  const best = result.best_wait_years;
  const level = (name, each, tone, type) => ({ name, type: "line", data: flat(each), showSymbol: false, color: color(tone), lineStyle: { type, width: 1.8 } });
  const all = [...rows, result.hold, result.clearcut_now].map(value).filter((each) => each !== null);
  const spread = Math.max(...all) - Math.min(...all);
  const step = 10 ** Math.floor(Math.log10(Math.max(spread, 10)));
  drawChart("wait", {
    words: `Worth today of land and stand, $ ${unitName("per_ac")}, each at its own best harvest.${Number.isFinite(best) ? ` The best first thinning: ${best ? `in ${best} ${best === 1 ? "year" : "years"}` : "now"}.` : ""}`,
    options: {
      xAxis: { type: "category", data: rows.map(year), name: "years until the first thinning", nameLocation: "middle", nameGap: 26 },
      yAxis: { ...valueAxis(), scale: true, min: Math.floor((Math.min(...all) - spread * 0.1) / step) * step },
      series: [{ name: "Thin in that year", type: "line", data: rows.map(value), symbolSize: 9, color: color("system-silvopasture"), lineStyle: { width: 2.4 } },
        level("Never thin", result.hold, "system-plantation", "dashed"), level("Clearcut now", result.clearcut_now, "system-pasture", "solid")],
      tooltip: { valueFormatter: (each) => (each === null ? "cannot be done" : dollars(each)) },
    },
    numbers: {
      caption: `Worth today, $ ${unitName("per_ac")}`, head: ["What is done", "Worth", "Against thinning now"],
      rows: [...rows.map((each) => [each.years ? `Thin in ${each.years} ${each.years === 1 ? "year" : "years"}` : "Thin now", money(each.present_value_per_ac), each.years ? money(each.against_now_per_ac) : ""]),
        ["Never thin", money(result.hold.present_value_per_ac), money(result.hold.against_now_per_ac)],
        ["Clearcut now", money(result.clearcut_now.present_value_per_ac), money(result.clearcut_now.against_now_per_ac)]],
    },
  });
}

const DO = { leave: "leave it", hold: "leave it", thin: "thin", clearcut: "clearcut", clear: "clearcut" };
const plain = (value, unit) => (value === null || value === undefined ? "–" : unit.startsWith("times") ? `× ${count(value, 2)}` : unit.startsWith("$") ? `$${count(value, 2)} ${unit.replace("$/", "a ")}` : `${count(value, 2)} ${unit}`);

function price() {
  byId("wait-price").textContent = result.reservation_sentence;
  byId("wait-prices").replaceChildren(table({
    caption: "Thin this year where the price is at least (× : times the prices in force)", head: ["Price of", "Today", "Thin from", "Clearcut from", "This year"],
    rows: result.reservation_prices.map((each) => [capital(each.item.replaceAll("_", " ")), plain(each.today, each.unit), plain(each.value, each.unit), plain(each.clearcut_from, each.unit), DO[each.this_year] ?? each.this_year]),
  }));
}

function trade() {
  byId("wait-trade").replaceChildren(table({
    caption: "For each year of waiting", head: ["Wait", "Value grows", `Forage given up, ${unitName("lb/ac")}`, "Grazing given up, animal-unit months an acre", `Likely loss to hazards, $ ${unitName("per_ac")} a year`],
    rows: choices().map((each) => [each.years ? `${each.years} ${each.years === 1 ? "year" : "years"}` : "None", percent(each.value_growth, 1),
      count(shown(each.forage_lost_lb_ac, "lb/ac"), 0), count(each.animal_unit_months_lost_ac), money(each.likely_loss_per_ac_yr)]),
    marked: (_, place) => choices()[place].years === result.best_wait_years,
  }));
}
