// What the page holds: the plan as opened, the last kept one, the one in hand, and the moment of the picture.

import * as api from "./api.js";
import { samePlan } from "./plan.js";

export const state = {
  form: [], examples: [], file: null, example: null,
  opened: null, kept: null, current: null,
  past: [], future: [], versions: [],
  view: "land", units: "us",
  moment: { year: 0, after: false, month: 6, system: "silvopasture" },
  problems: [], busy: false,
};
const MOST_STEPS = 60;
const ears = {};

export function on(event, hear) {
  (ears[event] ??= []).push(hear);
}

export function tell(event, what) {
  for (const hear of ears[event] ?? []) hear(what);
}

/** Say something to those who listen rather than look. */
export function say(text) {
  document.getElementById("said").textContent = text;
}

/** Show what went wrong at the head of the page; nothing takes it away. */
export function trouble(text) {
  const place = document.getElementById("trouble");
  place.hidden = !text;
  place.textContent = text ?? "";
}

export function opened(version, { file = null, example = null } = {}) {
  Object.assign(state, { opened: version, kept: version, current: version, past: [], future: [], file, example, problems: [] });
  state.versions = [{ name: file ? `${file}, as opened` : "As opened", version }];
  tell("opened");
  tell("version");
}

export function moved(change) {
  Object.assign(state.moment, change);
  tell("moment", change);
}

function take(version) {
  state.current = version;
  state.problems = [];
  tell("problems");
  tell("version");
}

export function accepted(version) {
  state.past = [...state.past, state.current].slice(-MOST_STEPS);
  state.future = [];
  take(version);
}

export function undo() {
  if (!state.past.length) return;
  state.future = [state.current, ...state.future];
  const version = state.past.at(-1);
  state.past = state.past.slice(0, -1);
  take(version);
  say("The last change is undone.");
}

export function redo() {
  if (!state.future.length) return;
  state.past = [...state.past, state.current];
  const [version, ...rest] = state.future;
  state.future = rest;
  take(version);
  say("The change is made again.");
}

export function keep(name = null) {
  if (state.kept === state.current) return;
  state.kept = state.current;
  const number = state.versions.filter((each) => each.name.startsWith("Kept")).length + 1;
  state.versions.push({ name: name ?? `Kept ${number}`, version: state.current });
  say("This version is kept. Later changes are compared with it.");
  tell("version");
}

let asked = null; // the newest plan that waits for its turn
let begun = null; // the plan that is being worked through
let working = false;

/** The plan with every change that was asked for, also those that are still on their way. */
export function latestPlan() {
  return asked ?? begun ?? state.current.plan;
}

/** Have a plan worked through. While one is on its way only the newest other one waits; resolves when all is done. */
export async function propose(plan) {
  asked = plan;
  if (working) return;
  working = true;
  setBusy(true);
  while (asked) {
    begun = asked;
    asked = null;
    try {
      const version = await api.plan(begun);
      begun = null;
      trouble(null);
      if (!samePlan(version.plan, state.current.plan)) accepted(version);
      else tell("version");
    } catch (fault) {
      begun = null;
      refused(fault);
    }
  }
  working = false;
  setBusy(false);
}

export function refused(fault) {
  if (fault.problems?.length) {
    state.problems = fault.problems;
    tell("problems");
    if (state.view !== "plan") trouble(`This cannot be, so the plan stays as it was. ${fault.problems.map(({ name, message }) => (name ? `${name}: ${message}` : message)).join(" ")}`);
  } else trouble(fault.message);
  tell("refused");
}

/** Show whether a plan is being worked through. */
export function setBusy(busy) {
  state.busy = busy || working;
  document.body.classList.toggle("busy", state.busy);
  tell("busy");
}
