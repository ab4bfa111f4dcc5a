// The handle on the compass: dragged, moved with keys, or set by typing degrees.

import { degrees, directionWords } from "./fieldwords.js";
import { onRing } from "./fieldmap.js";
import { byId } from "./html.js";

const BAND = 26; // points on either side of the ring within which a press takes the handle there

/** `turn(heading)` is called for every step, `settle()` when a hand has let go or keys rest. */
export function startCompass({ turn, heading, settle }) {
  const [handle, rose, typed] = [byId("ground-handle"), byId("rose"), byId("ground-degrees")];
  handle.addEventListener("keydown", (event) => keyed(event, { turn, heading }));
  handle.addEventListener("keyup", () => settle());
  rose.addEventListener("pointerdown", (event) => grasp(event, { handle, rose, turn, settle }));
  typed.addEventListener("input", () => {
    const value = Number(typed.value);
    const fits = typed.value.trim() !== "" && value >= 0 && value <= 360;
    const wrong = byId("ground-degrees-wrong");
    typed.setAttribute("aria-invalid", String(!fits));
    wrong.hidden = fits;
    wrong.textContent = fits ? "" : "Degrees from 0 to 360.";
    if (fits) turn(value);
  });
  typed.addEventListener("change", settle);
}

function keyed(event, { turn, heading }) {
  const now = heading();
  const to = { ArrowLeft: now - 1, ArrowDown: now - 1, ArrowRight: now + 1, ArrowUp: now + 1, PageDown: now - 10, PageUp: now + 10, Home: 0, End: 179 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  turn(Math.round(to));
}

function grasp(event, { handle, rose, turn, settle }) {
  if (event.button || !isNearRing(event, rose, handle)) return;
  event.preventDefault();
  handle.focus({ preventScroll: true });
  handle.setPointerCapture(event.pointerId);
  handle.classList.add("held");
  const follow = (move) => turn(Math.round(bearing(move, rose)));
  const release = () => {
    handle.removeEventListener("pointermove", follow);
    handle.removeEventListener("pointerup", release);
    handle.removeEventListener("pointercancel", release);
    handle.classList.remove("held");
    settle();
  };
  handle.addEventListener("pointermove", follow);
  handle.addEventListener("pointerup", release);
  handle.addEventListener("pointercancel", release);
  if (event.target !== handle) follow(event);
}

function fromMiddle(event, rose) {
  const box = rose.getBoundingClientRect();
  return [event.clientX - box.left - box.width / 2, event.clientY - box.top - box.height / 2];
}

function bearing(event, rose) {
  const [east, south] = fromMiddle(event, rose);
  return ((Math.atan2(east, -south) * 180) / Math.PI + 360) % 360;
}

function isNearRing(event, rose, handle) {
  if (event.target === handle || handle.contains(event.target)) return true;
  if (event.pointerType === "touch") return false; // there a finger on the map scrolls the page
  const ring = Number(rose.dataset.radius ?? 0);
  return Math.abs(Math.hypot(...fromMiddle(event, rose)) - ring) < BAND;
}

/** Put the handle where a heading is, and say it. */
export function stand(frame, heading) {
  const handle = byId("ground-handle");
  const [left, top] = onRing(frame, heading);
  const azimuth = Math.round((heading % 180) * 10) / 10;
  handle.style.left = `${100 * left}%`;
  handle.style.top = `${100 * top}%`;
  handle.style.setProperty("--turn", `${heading}deg`);
  byId("rose").dataset.radius = String(frame.radius);
  handle.setAttribute("aria-valuenow", degrees(azimuth));
  handle.setAttribute("aria-valuetext", directionWords(azimuth));
}
