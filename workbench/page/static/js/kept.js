// How the plan in hand compares with the last kept one, and the buttons that keep, undo and redo.

import { byId, make } from "./html.js";
import { samePlan } from "./plan.js";
import { keep, on, redo, say, state, undo } from "./store.js";
import { shown, unitName } from "./units.js";
import { dollars } from "./words.js";
import { fieldWords } from "./caption.js";

export function startKept() {
  const does = { keep: () => keep(), undo, redo };
  for (const name of Object.keys(does)) {
    for (const button of buttons(name)) button.addEventListener("click", does[name]);
  }
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text], input[type=number], textarea")) return;
    if (event.key === "z" && !event.shiftKey) { event.preventDefault(); undo(); }
    else if (event.key === "y" || (event.key === "z" && event.shiftKey)) { event.preventDefault(); redo(); }
  });
  on("version", show);
  on("units", show);
  on("busy", show);
}

const buttons = (name) => document.querySelectorAll(`#${name}, [data-do="${name}"]`);

function show() {
  if (!state.current) return;
  for (const place of [byId("against"), byId("plan-against"), byId("ground-against")]) place.replaceChildren(...words());
  for (const button of buttons("undo")) button.disabled = !state.past.length;
  for (const button of buttons("redo")) button.disabled = !state.future.length;
  const unchanged = samePlan(state.kept.plan, state.current.plan);
  for (const button of buttons("keep")) button.disabled = unchanged;
}

const measures = (version) => version.comparison.systems.silvopasture;

/** +$212 an acre against your last kept plan. */
function words() {
  if (state.busy) return ["Working it through …"];
  if (samePlan(state.kept.plan, state.current.plan)) return ["This is the plan you keep. Move something and see what it is worth."];
  const [now, kept] = [measures(state.current), measures(state.kept)];
  const yearly = now.equal_annual_income_per_ac - kept.equal_annual_income_per_ac;
  const value = now.npv_per_ac - kept.npv_per_ac;
  const per = unitName("per_ac");
  const field = yearly * state.current.comparison.area_ac;
  return [
    make("b", { class: yearly < 0 ? "loss" : null }, `${dollars(shown(value, "$/ac"), { sign: true })} ${per}`),
    " in today's money against your last kept plan; ",
    make("b", { class: yearly < 0 ? "loss" : null }, `${yearlyWords(shown(yearly, "$/ac"))} ${per} a year`),
    `, ${dollars(field, { sign: true })} a year on ${fieldWords(state.current)}.`,
  ];
}

function yearlyWords(amount) {
  return Math.abs(amount) < 0.5 ? "less than $1" : dollars(amount, { yearly: true, sign: true });
}

/** Said once when a change has come through. */
export function announce() {
  say(byId("against").textContent);
}
