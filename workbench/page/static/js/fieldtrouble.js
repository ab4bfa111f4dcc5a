// What is wrong with an outline, a direction or an option, said where it can be put right.

import { byId } from "./html.js";
import { say, trouble } from "./store.js";

export function takeBackProblems() {
  for (const wrong of byId("ground").querySelectorAll(".wrong")) wrong.hidden = true;
  for (const input of byId("ground").querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
}

export function showProblems(fault) {
  takeBackProblems();
  const problems = fault.problems ?? [];
  if (!problems.length) trouble(fault.message);
  for (const problem of problems) {
    const option = problem.field.startsWith("options.") ? problem.field.slice("options.".length) : null;
    const id = problem.field === "field" ? "ground-field-wrong" : problem.field === "azimuth" ? "ground-degrees-wrong" : option ? `ground-${option}-wrong` : "ground-wrong";
    const place = byId(id) ?? byId("ground-wrong");
    place.textContent = place.hidden ? problem.message : `${place.textContent} ${problem.message}`;
    place.hidden = false;
    if (option && byId(`ground-${option}`)) mark(byId(`ground-${option}`));
  }
  say(problems[0]?.message ?? fault.message);
}

function mark(input) {
  input.setAttribute("aria-invalid", "true");
  input.closest("details").open = true;
}
