// Long work in a process of its own: start, how far it is, how long it takes yet, cancel.

import * as api from "./api.js";
import { byId, make } from "./html.js";
import { samePlan } from "./plan.js";
import { on, refused, say, state } from "./store.js";
import { count, duration } from "./words.js";

const LOOK_EVERY_MS = 500;
const resumers = [];

/** Take up the work that this tab had begun before it was loaded again; called once the plan is there. */
export function resumeJobs() {
  for (const resume of resumers) resume();
}

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
  const stale = make("p", { class: "stale", hidden: true }, "The answer below is for the plan as it was; the plan has changed since.");
  panel.append(make("div", { class: "job-row" }, extra?.controls ?? null, start, cancel), bar, words, stale);
  const store = `job ${kind}`;
  let id = null;
  let asked = null; // the plan that is worked on
  let answered = null; // the plan of the answer that is shown
  let begun = false;
  resumers.push(() => {
    begun = true;
    const kept = JSON.parse(sessionStorage.getItem(store) ?? "null");
    if (kept) { ({ id, asked } = kept); run(true); }
  });
  on("opened", () => { answered = null; words.textContent = ""; if (begun && !id) sessionStorage.removeItem(store); });
  on("version", age);

  function age() {
    stale.hidden = !answered || samePlan(answered, state.current.plan);
  }

  async function begin() {
    words.textContent = "";
    asked = state.current.plan;
    try {
      ({ job: id } = await api.startJob(kind, asked, extra?.read() ?? {}));
      sessionStorage.setItem(store, JSON.stringify({ id, asked }));
      await run();
    } catch (fault) {
      words.textContent = fault.problems?.length ? fault.problems.map((each) => each.message).join(" ") : fault.message;
      if (fault.problems?.length && state.problems.length) refused(fault);
    }
  }

  async function run(resumed = false) {
    working(true);
    if (!resumed) { say(`${label}: started.`); cancel.focus(); }
    let over = null;
    try {
      for (;;) {
        const now = await api.job(id);
        show(now);
        if (!["queued", "running"].includes(now.state)) { over = now; break; }
        await new Promise((wake) => setTimeout(wake, LOOK_EVERY_MS));
      }
    } catch (fault) {
      words.textContent = resumed && fault.status === 404 ? "" : fault.message;
    }
    if (over?.state !== "done") sessionStorage.removeItem(store);
    id = null;
    working(false);
    if (over) finish(over, resumed);
  }

  function show(now) {
    if (now.of) { bar.max = now.of; bar.value = now.done; } else bar.removeAttribute("value");
    const left = duration(now.seconds_left ?? NaN);
    words.textContent = now.state === "queued" ? "Waits until the machine is free …"
      : [now.message || "Working", now.of ? `${count(now.done, 0)} of ${count(now.of, 0)} done` : null, left ? `${left} left` : null].filter(Boolean).join("; ");
  }

  function finish(now, resumed) {
    const said = { done: "Done.", cancelled: /^Stopped, /.test(now.message) ? now.message : "Cancelled. Nothing was changed.", failed: now.message || "It failed. The plan is unchanged." }[now.state] ?? now.message;
    words.textContent = said;
    if (!resumed) say(`${label}: ${said}`);
    if (now.state !== "done") return;
    done(now);
    answered = asked;
    age();
  }

  async function stop() {
    if (!id) return; // the button stays alive: one that is switched off loses the focus
    try { await api.cancelJob(id); } catch (fault) { words.textContent = fault.message; }
  }

  function working(is) {
    const here = document.activeElement === cancel;
    start.disabled = is;
    if (!is && here) start.focus(); // a button that vanishes would leave a reader with keys nowhere
    cancel.hidden = !is;
    bar.hidden = !is;
  }
  return { panel, start, words };
}
