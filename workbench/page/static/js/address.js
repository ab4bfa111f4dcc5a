// The state of the page in the fragment of its address, so that reload, back and a copied address restore it.

import { differences } from "./plan.js";

const VIEWS = ["land", "wait", "best", "odds", "plan", "versions"];

export function read(hash = window.location.hash) {
  const asked = new URLSearchParams(hash.replace(/^#/, ""));
  const whole = (key, low, high, otherwise) => {
    const value = asked.has(key) ? Number(asked.get(key)) : NaN;
    return Number.isInteger(value) && value >= low && value <= high ? value : otherwise;
  };
  return {
    view: VIEWS.includes(asked.get("view")) ? asked.get("view") : "land",
    year: whole("year", 0, 200, null),
    after: asked.get("cut") === "after",
    month: whole("month", 1, 12, 6),
    units: asked.get("units") === "metric" ? "metric" : "us",
    system: asked.get("use") ?? null,
    example: asked.get("example"),
    file: asked.get("file"),
    set: asked.getAll("set").map(pair).filter(Boolean),
  };
}

function pair(text) {
  const cut = text.indexOf("=");
  if (cut < 1) return null;
  const path = text.slice(0, cut);
  if (path.split(".").some((part) => ["__proto__", "constructor", "prototype", ""].includes(part))) return null;
  try {
    return [path, JSON.parse(text.slice(cut + 1))];
  } catch {
    return [path, text.slice(cut + 1)];
  }
}

export function fragment(state) {
  const said = new URLSearchParams({ view: state.view, year: String(state.moment.year) });
  if (state.moment.after) said.set("cut", "after");
  if (state.moment.month !== 6) said.set("month", String(state.moment.month));
  if (state.units !== "us") said.set("units", state.units);
  if (state.moment.system !== "silvopasture") said.set("use", state.moment.system);
  if (state.example) said.set("example", state.example);
  else if (state.file) said.set("file", state.file); // without it the changes would be made to another plan
  if (state.current && state.opened) {
    for (const [path, value] of differences(state.opened.plan, state.current.plan)) {
      said.append("set", `${path}=${typeof value === "string" && Number.isNaN(Number(value)) ? value : JSON.stringify(value)}`);
    }
  }
  return `#${said}`;
}

/** Write the state into the address: a new entry of the history for a view, the same one for all else. */
export function write(state, { push = false } = {}) {
  const next = fragment(state);
  if (next === window.location.hash) return;
  window.history[push ? "pushState" : "replaceState"]({ own: true }, "", next);
}
