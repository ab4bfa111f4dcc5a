// Plans opened from a file or an example, and what can be taken along.

import * as api from "./api.js";
import { byId, make } from "./html.js";
import { opened, refused, say, state, trouble } from "./store.js";
import { setProblemsOfFile } from "./trouble.js";

const MOST_BYTES = 1_000_000;
const KEPT_TEXT = "opened plan"; // of this tab only, so that a reload finds a file that only the person's disk holds

export function startFiles() {
  byId("open-file").addEventListener("change", openLocal);
  byId("examples").addEventListener("change", (event) => {
    if (event.target.value) openExample(event.target.value);
    event.target.value = "";
  });
  byId("save-file").addEventListener("click", () => take("/api/toml", "plan.toml", "The plan is saved as a file."));
  for (const button of document.querySelectorAll("[data-take]")) {
    button.addEventListener("click", () => take(`/api/download/${button.dataset.take}`, button.dataset.take, "The file is ready."));
  }
  byId("print").addEventListener("click", () => { byId("take").open = false; window.print(); });
  byId("take").addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    byId("take").open = false;
    byId("take").querySelector("summary").focus();
  });
  document.addEventListener("click", (event) => {
    if (!byId("take").contains(event.target)) byId("take").open = false;
  });
}

export function listExamples() {
  byId("examples").append(...state.examples.map(({ id, title }) => make("option", { value: id }, title)));
}

async function openLocal(event) {
  const [file] = event.target.files;
  if (!file) return;
  if (file.size > MOST_BYTES) return trouble(`“${file.name}” is larger than a plan can be (1 MB). Choose a Halfshade plan file, which ends in .toml.`);
  const text = await file.text();
  event.target.value = "";
  await openText(text, file.name);
}

/** Open the text of a plan file; problems name their lines, and the plan in hand stays. */
export async function openText(text, name) {
  trouble(null);
  say(`Opening ${name} …`);
  try {
    const version = await api.open(text);
    sessionStorage.setItem(KEPT_TEXT, JSON.stringify({ text, name }));
    opened(version, { file: name });
    say(`${name} is open.`);
    return true;
  } catch (fault) {
    if (fault.problems?.length) setProblemsOfFile(name, fault.problems);
    else refused(fault);
    return false;
  }
}

export async function openExample(id) {
  trouble(null);
  try {
    const version = await api.example(id);
    sessionStorage.removeItem(KEPT_TEXT);
    opened(version, { example: id });
    say("The example is open.");
    return true;
  } catch (fault) {
    refused(fault);
    return false;
  }
}

/** The plan file that this tab had open before it was loaded again, if any. */
export function textOfThisTab() {
  try {
    return JSON.parse(sessionStorage.getItem(KEPT_TEXT));
  } catch {
    return null;
  }
}

async function take(path, otherwise, done) {
  byId("take").open = false;
  document.body.classList.add("busy");
  say("Making the file …");
  try {
    const name = await api.download(path, state.current.plan, otherwise);
    say(`${done} ${name}`);
  } catch (fault) {
    refused(fault);
  }
  document.body.classList.remove("busy");
}
