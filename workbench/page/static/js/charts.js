// Charts by ECharts, each with the same figures in a table beside it.

import { byId, color, make, table } from "./html.js";

const REST_MS = 500;
const drawn = new Map();
let library = null;

/** Load the library once; the picture does not wait for it. */
function echarts() {
  library ??= new Promise((ready, fail) => {
    const script = Object.assign(document.createElement("script"), { src: "/static/vendor/echarts/echarts.min.js" });
    script.addEventListener("load", () => ready(window.echarts));
    script.addEventListener("error", () => fail(new Error("charts did not load")));
    document.head.append(script);
  });
  return library;
}

const calm = () => window.matchMedia("(prefers-reduced-motion: reduce)").matches;

function base() {
  const ink = color("ink");
  return {
    animation: !calm(), animationDuration: 300,
    textStyle: { fontFamily: getComputedStyle(document.body).fontFamily, color: ink, fontSize: 12 },
    tooltip: { trigger: "axis", renderMode: "richText", confine: true, axisPointer: { type: "line" }, order: "seriesAsc" },
    legend: { type: "scroll", top: 0, left: 0, itemWidth: 16, itemHeight: 9, textStyle: { color: ink, fontSize: 12 } },
    grid: { left: 6, right: 14, top: 38, bottom: 22, containLabel: true },
  };
}

export function yearAxis(years, name = "year") {
  return { type: "category", data: years, name, nameLocation: "middle", nameGap: 24, axisTick: { show: false },
    axisLabel: { interval: (place) => years[place] % (years.length > 60 ? 10 : 5) === 0 }, axisLine: { lineStyle: { color: color("faint") } } };
}

export function valueAxis(format = (value) => value.toLocaleString("en-US")) {
  return { type: "value", splitNumber: 4,
    axisLabel: { formatter: format }, splitLine: { lineStyle: { color: "#e3dcc8" } } };
}

/**
 * Draw a chart with its sentence and its table.
 * @param id of the figure
 * @param words what the chart shows, also its name for those who do not see it
 * @param options of the chart beyond the common look
 * @param numbers head and rows of the table
 */
export async function drawChart(id, { words, options, numbers }) {
  byId(`chart-${id}-words`).textContent = words;
  byId(`chart-${id}-numbers`).querySelector(".scroll").replaceChildren(table(numbers));
  const place = byId(`chart-${id}`);
  const has = await echarts();
  if (!place.clientWidth) { drawn.set(id, { waiting: () => drawChart(id, { words, options, numbers }) }); return; }
  let chart = drawn.get(id)?.chart;
  if (!chart) {
    chart = has.init(place, null, { renderer: "canvas", devicePixelRatio: Math.max(window.devicePixelRatio, 2) });
    drawn.set(id, { chart });
    keepForPaper(chart, place);
  }
  const common = base();
  chart.setOption({ ...common, ...options, grid: { ...common.grid, ...options.grid }, tooltip: { ...common.tooltip, ...options.tooltip }, legend: { ...common.legend, ...options.legend } }, { notMerge: true });
}

/** A picture of the chart that paper can scale; the drawing on the screen has the screen's size and would be cut off. */
function keepForPaper(chart, place) {
  const picture = make("img", { class: "on-paper", alt: "" });
  place.after(picture);
  let rest = null;
  chart.on("finished", () => {
    clearTimeout(rest);
    rest = setTimeout(() => {
      if (!place.clientWidth) return;
      picture.src = chart.getDataURL({ pixelRatio: 2, backgroundColor: "#ffffff" });
      picture.alt = byId(`${place.id}-words`).textContent;
    }, REST_MS);
  });
}

/** Charts of a view that was hidden are drawn, and all fit their boxes again. */
export function refit() {
  for (const [id, { chart, waiting }] of drawn) {
    const place = byId(`chart-${id}`);
    if (!place.clientWidth) continue;
    if (waiting) { drawn.delete(id); waiting(); } else chart.resize({ animation: { duration: 0 } });
  }
}

export function startCharts() {
  window.addEventListener("resize", refit);
}
