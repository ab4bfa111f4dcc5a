// Long work in a process of its own: start, how far it is, how long it takes yet, cancel.

import * as api from "./api.js";
import { byId, make } from "./html.js";
import { refused, say, state } from "./store.js";
import { count, duration } from "./words.js";

const LOOK_EVERY_MS = 500;

/**
 * A panel that starts one kind of work.
 * @param place id of the panel
 * @param kind of work
 * @param label of the button
 * @param extra gives further wishes of the person, and their controls
 * @param done takes the finished job
 */
export function jobPanel({ place, kind, label, extra = null, done }) {
  const panel = byId(place);
  const start = make("button", { type: "button", class: "main-button", onclick: begin }, label);
  const cancel = make("button", { type: "button", hidden: true, onclick: stop }, "Cancel");
  const bar = make("progress", { max: 1, "aria-label": `${label}: how far it is`, hidden: true });
  const words = make("p", { class: "job-words", role: "status" });
  panel.append(make("div", { class: "job-row" }, extra?.controls ?? null, start, cancel), bar, words);
  let id = null;
  let asked = null;
  const resume = sessionStorage.getItem(`job ${kind}`);
  if (resume) { id = resume; run(true); }

  async function begin() {
    words.textContent = "";
    asked = state.current.plan;
    try {
      ({ job: id } = await api.startJob(kind, asked, extra?.read() ?? {}));
      sessionStorage.setItem(`job ${kind}`, id);
      await run();
    } catch (fault) {
      words.textContent = fault.problems?.length ? fault.problems.map((each) => each.message).join(" ") : fault.message;
      if (fault.problems?.length && state.problems.length) refused(fault);
    }
  }

  async function run(resumed = false) {
    working(true);
    say(`${label}: started.`);
    try {
      for (;;) {
        const now = await api.job(id);
        show(now);
        if (!["queued", "running"].includes(now.state)) { finish(now); break; }
        await new Promise((wake) => setTimeout(wake, LOOK_EVERY_MS));
      }
    } catch (fault) {
      words.textContent = resumed && fault.status === 404 ? "" : fault.message;
    }
    sessionStorage.removeItem(`job ${kind}`);
    id = null;
    working(false);
  }

  function show(now) {
    if (now.of) { bar.max = now.of; bar.value = now.done; } else bar.removeAttribute("value");
    const left = duration(now.seconds_left ?? NaN);
    words.textContent = now.state === "queued" ? "Waits until the machine is free …"
      : [now.message || "Working", now.of ? `${count(now.done, 0)} of ${count(now.of, 0)} done` : null, left ? `${left} left` : null].filter(Boolean).join("; ");
  }

  function finish(now) {
    const said = { done: "Done.", cancelled: "Cancelled. Nothing was changed.", failed: now.message || "It failed. The plan is unchanged." }[now.state] ?? now.message;
    words.textContent = said;
    say(`${label}: ${said}`);
    if (now.state === "done") done(now, asked ?? state.current.plan);
  }

  async function stop() {
    if (!id) return;
    cancel.disabled = true;
    try { await api.cancelJob(id); } catch (fault) { words.textContent = fault.message; }
  }

  function working(is) {
    start.disabled = is;
    cancel.hidden = !is;
    cancel.disabled = false;
    bar.hidden = !is;
  }
  return { panel, start, words };
}
