// The picture and what moves it: year, play, side of a cut, use of the land, month of the sun.

import { aboveWords, captionText } from "./caption.js";
import { drawAbove } from "./above.js";
import { byId, make } from "./html.js";
import { cutAt } from "./moment.js";
import { drawSlice } from "./slice.js";
import { moved, on, state } from "./store.js";
import { capital, MONTHS, SYSTEM_ORDER } from "./words.js";

const YEARS_A_SECOND = 1.6;
const REST_AT_A_CUT_MS = 900;
const STEP_MS = 900; // a year, where the reader asked for less motion

let playing = null;

export function startPicture() {
  byId("year").addEventListener("input", (event) => {
    stop();
    moved({ year: Number(event.target.value), after: false });
  });
  byId("play").addEventListener("click", () => (playing ? stop() : play()));
  byId("cut-side").addEventListener("change", (event) => {
    stop();
    moved({ after: event.target.value === "after" });
  });
  byId("systems").addEventListener("change", (event) => moved({ system: event.target.value, after: false }));
  byId("month").append(...MONTHS.map((name, place) => make("option", { value: place + 1 }, name)));
  byId("month").addEventListener("change", (event) => moved({ month: Number(event.target.value) }));
  on("version", () => { listSystems(); draw(); });
  on("moment", () => draw());
  on("units", () => draw());
  on("view", () => { stop(); draw(); });
  let width = 0;
  new ResizeObserver(() => {
    if (byId("slice").clientWidth !== width) { width = byId("slice").clientWidth; draw(); }
  }).observe(byId("slice"));
}

function listSystems() {
  const names = SYSTEM_ORDER.filter((name) => state.current.scene.systems[name]);
  if (!names.includes(state.moment.system)) state.moment.system = names[0];
  const place = byId("systems");
  if (place.dataset.names !== names.join()) {
    place.dataset.names = names.join();
    place.querySelectorAll("label").forEach((label) => label.remove());
    place.append(...names.map((name) => make("label", {}, make("input", { type: "radio", name: "use", value: name }),
      make("span", {}, capital(state.current.scene.systems[name].name)))));
  }
  place.querySelector(`input[value="${state.moment.system}"]`).checked = true;
  const last = state.current.scene.systems[state.moment.system].years.length - 1;
  byId("year").max = last;
  state.moment.year = Math.min(state.moment.year, last);
}

/** Draw the moment; `time` may lie between two years while it plays. */
export function draw(time = state.moment.year) {
  const version = state.current;
  if (!version || state.view !== "land") return;
  const { year, month, system } = state.moment;
  const cut = cutAt(version, system, year);
  const after = cut && state.moment.after;
  drawSlice(byId("slice"), version, { time, after, month, system });
  drawAbove(byId("above"), version, { time, after, system });
  byId("caption").textContent = captionText(version, { system, year, after });
  byId("above-words").textContent = aboveWords(version, { system, year });
  const slider = byId("year");
  slider.value = String(year);
  slider.setAttribute("aria-valuetext", `Year ${year}${cut ? `, ${after ? "after" : "before"} the cut` : ""}`);
  byId("year-out").value = String(year);
  byId("cut-side").disabled = !cut;
  byId("cut-side").querySelector(`input[value="${after ? "after" : "before"}"]`).checked = true;
  byId("month").value = String(month);
}

function play() {
  const last = Number(byId("year").max);
  if (state.moment.year >= last) moved({ year: 0, after: false });
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  playing = { last, calm, time: state.moment.year, stamp: null, rest: 0 };
  show();
  if (calm) playing.timer = setInterval(stepOnce, STEP_MS);
  else playing.frame = requestAnimationFrame(glide);
}

export function stop() {
  if (!playing) return;
  clearInterval(playing.timer);
  cancelAnimationFrame(playing.frame);
  playing = null;
  show();
  draw();
}

function show() {
  byId("play").setAttribute("aria-pressed", String(Boolean(playing)));
  byId("play-word").textContent = playing ? "Stop" : "Play";
}

/** One stop further: the far side of a cut counts as one. */
function stepOnce() {
  const { year, after, system } = state.moment;
  if (cutAt(state.current, system, year) && !after) return moved({ after: true });
  if (year >= playing.last) return stop();
  return moved({ year: year + 1, after: false });
}

function glide(stamp) {
  if (!playing) return;
  const passed = Math.min(stamp - (playing.stamp ?? stamp), 100);
  playing.stamp = stamp;
  if (playing.rest > 0) {
    playing.rest -= passed;
    playing.frame = requestAnimationFrame(glide);
    return;
  }
  const { year, after, system } = state.moment;
  if (cutAt(state.current, system, year) && !after && playing.time <= year) {
    playing.rest = REST_AT_A_CUT_MS;
    moved({ after: true });
    playing.frame = requestAnimationFrame(glide);
    return;
  }
  if (playing.time >= playing.last) return stop();
  const next = Math.min(playing.time + (passed / 1000) * YEARS_A_SECOND, playing.last);
  if (Math.floor(next) > year) {
    const reached = year + 1;
    playing.time = reached;
    playing.rest = cutAt(state.current, system, reached) ? REST_AT_A_CUT_MS : 0;
    moved({ year: reached, after: false });
  } else {
    playing.time = next;
    draw(next);
  }
  playing.frame = requestAnimationFrame(glide);
}
