// A file that could not be read: what is wrong with it, line by line; the plan in hand stays.

import { byId, make } from "./html.js";
import { say } from "./store.js";

export function setProblemsOfFile(name, problems) {
  const place = byId("trouble");
  place.hidden = false;
  place.replaceChildren(
    make("p", {}, `“${name}” was not opened; the plan in hand is unchanged. ${problems.length === 1 ? "One thing is" : `${problems.length} things are`} wrong:`),
    make("ul", {}, problems.map((problem) => make("li", {}, `${problem.line ? `Line ${problem.line}, ` : ""}${problem.name || problem.field || "the file"}: ${problem.message}`))),
    make("button", { type: "button", onclick: () => { place.hidden = true; } }, "Close"),
  );
  place.scrollIntoView({ block: "nearest" });
  say(`${name} was not opened.`);
}
