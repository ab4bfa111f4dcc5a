// The plan on a line of years: marks that can be dragged, moved with keys, or typed.

import { byId, clamp, make } from "./html.js";
import { changed, get } from "./plan.js";
import { latestPlan, on, propose, say, setBusy, state } from "./store.js";

const LANES = [["trees", "Trees"], ["hay", "Hay"], ["grazing", "Grazing"], ["straw", "Straw"]];
const KEY_WAIT_MS = 350;
const CLOSE_SHARE = 0.045;

let waiting = null; // a year that keys have set and that is not yet worked through
let held = null; // the mark that is being dragged

export function startTimeline() {
  on("version", drawTimeline);
  on("moment", moveNow);
  on("refused", drawTimeline);
}

const LANE_OF_PATH = [["use.hay", "hay"], ["use.", "grazing"], ["straw.", "straw"], ["", "trees"]];
const laneOf = (mark) => LANE_OF_PATH.find(([start]) => mark.path.startsWith(start))[1];
const kindOf = (mark) => `${laneOf(mark)}${mark.path.startsWith("harvest") ? " harvest" : ""}`;
const horizon = () => state.current.comparison.horizon_years;
const share = (year) => clamp(year / horizon(), 0, 1);

function drawTimeline() {
  if (held) return;
  const marks = state.current.scene.timeline ?? [];
  const place = byId("timeline");
  const focused = document.activeElement?.dataset?.path;
  const lanes = LANES.filter(([lane]) => lane === "trees" || marks.some((mark) => laneOf(mark) === lane) || spans(lane).length);
  place.replaceChildren(...lanes.map(([lane, name]) => make("div", { class: "lane" },
    make("span", { class: "lane-name", "aria-hidden": "true" }, name),
    make("div", { class: `lane-track ${lane}` }, spans(lane), handles(marks.filter((mark) => laneOf(mark) === lane))))), axis());
  place.append(make("div", { class: "now-rail", "aria-hidden": "true" }, make("div", { class: "now", id: "now" })));
  moveNow();
  byId("timeline-typed").replaceChildren(...marks.map(typed));
  if (focused) document.querySelector(`.handle[data-path="${CSS.escape(focused)}"]`)?.focus();
}

/** Years that the grass is mown, grazed or raked, and years that trees stand, as bands. */
function spans(lane) {
  const years = state.current.scene.systems.silvopasture.years;
  const data = state.current.comparison.systems.silvopasture.years;
  const kinds = lane === "trees" ? [["trees", (year) => data[year].trees_per_ac > 0.5]]
    : lane === "hay" ? [["hay", (year) => years[year].use === "hay"]]
      : lane === "grazing" ? [["grazing", (year) => years[year].use === "grazing"]]
        : [["straw", (year) => data[year].straw_bales_ac > 0]];
  return kinds.flatMap(([kind, has]) => runs(years.length, has).map(([from, to]) => {
    const band = make("span", { class: `span ${kind}`, "aria-hidden": "true" });
    band.style.left = `${100 * share(from - 0.5)}%`;
    band.style.width = `${100 * (share(to + 0.5) - share(from - 0.5))}%`;
    return band;
  }));
}

function runs(length, has) {
  const found = [];
  for (let year = 0; year < length; year += 1) {
    if (!has(year)) continue;
    if (found.length && found.at(-1)[1] === year - 1) found.at(-1)[1] = year;
    else found.push([year, year]);
  }
  return found;
}

function handles(marks) {
  const sorted = [...marks].sort((one, other) => one.year - other.year);
  return sorted.map((mark, place) => {
    const close = place > 0 && share(mark.year) - share(sorted[place - 1].year) < CLOSE_SHARE;
    const handle = make("div", {
      class: `handle ${kindOf(mark)}${close ? " lifted" : ""}`, role: "slider", tabindex: "0", dataset: { path: mark.path },
      "aria-label": mark.label, "aria-valuemin": mark.min, "aria-valuemax": mark.max, "aria-orientation": "horizontal",
      onkeydown: (event) => keyed(event, mark, handle), onpointerdown: (event) => grasp(event, mark, handle),
    });
    setYear(handle, mark, mark.year);
    return handle;
  });
}

function setYear(handle, mark, year) {
  handle.style.left = `${100 * share(year)}%`;
  handle.textContent = String(year);
  handle.setAttribute("aria-valuenow", String(year));
  handle.setAttribute("aria-valuetext", `year ${year}`);
  handle.title = `${mark.label}, year ${year}`;
}

const isYear = (mark, year) => Number.isInteger(year) && year >= mark.min && year <= mark.max;

/** Have a year worked through, with what keys have set on another mark just before. */
function commit(mark, year) {
  const other = waiting?.mark.path === mark.path ? null : waiting;
  clearTimeout(waiting?.timer);
  waiting = null;
  const base = other ? changed(latestPlan(), other.mark.path, other.year) : latestPlan();
  if (get(base, mark.path) !== year || other) propose(changed(base, mark.path, year));
  else setBusy(false);
}

function keyed(event, mark, handle) {
  const now = Number(handle.getAttribute("aria-valuenow"));
  const to = { ArrowLeft: now - 1, ArrowDown: now - 1, ArrowRight: now + 1, ArrowUp: now + 1, PageDown: now - 5, PageUp: now + 5, Home: mark.min, End: mark.max }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  const year = clamp(to, mark.min, mark.max);
  setYear(handle, mark, year);
  if (waiting && waiting.mark.path !== mark.path) commit(waiting.mark, waiting.year);
  clearTimeout(waiting?.timer);
  waiting = { mark, year, timer: setTimeout(() => commit(mark, year), KEY_WAIT_MS) };
  document.body.classList.add("busy");
}

function grasp(event, mark, handle) {
  if (event.button) return;
  event.preventDefault();
  handle.focus();
  handle.setPointerCapture(event.pointerId);
  handle.classList.add("held");
  held = handle;
  const track = handle.parentElement.getBoundingClientRect();
  let year = mark.year;
  const follow = (move) => {
    year = clamp(Math.round(((move.clientX - track.left) / track.width) * horizon()), mark.min, mark.max);
    setYear(handle, mark, year);
  };
  const release = () => {
    handle.removeEventListener("pointermove", follow);
    handle.removeEventListener("pointerup", release);
    handle.removeEventListener("pointercancel", release);
    handle.classList.remove("held");
    held = null;
    commit(mark, year);
  };
  handle.addEventListener("pointermove", follow);
  handle.addEventListener("pointerup", release);
  handle.addEventListener("pointercancel", release);
}

function typed(mark) {
  const input = make("input", { type: "number", min: mark.min, max: mark.max, step: 1, value: mark.year, inputmode: "numeric",
    onchange: (event) => {
      const year = Number(event.target.value);
      const fits = isYear(mark, year);
      event.target.setAttribute("aria-invalid", String(!fits));
      if (fits) commit(mark, year);
      else say(`${mark.label}: a year from ${mark.min} to ${mark.max}.`);
    } });
  return make("label", {}, mark.label, input);
}

function axis() {
  const last = horizon();
  const step = [5, 10, 20].find((each) => last / each <= 10) ?? 20;
  const numbers = [];
  for (let year = 0; year <= last; year += step) {
    const mark = make("span", {}, String(year));
    mark.style.left = `${100 * share(year)}%`;
    numbers.push(mark);
  }
  return make("div", { class: "axis", "aria-hidden": "true" }, numbers);
}

function moveNow() {
  const now = byId("now");
  if (now && state.current) now.style.left = `${100 * share(state.moment.year)}%`;
}
