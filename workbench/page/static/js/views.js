// Which view is open.

import { state, tell } from "./store.js";

/** Open a view; `quiet` leaves the focus and the history where they are. */
export function goTo(name, { quiet = false } = {}) {
  state.view = name;
  for (const section of document.querySelectorAll("section.view")) section.hidden = section.id !== `view-${name}`;
  for (const link of document.querySelectorAll("a[data-view]")) {
    if (link.dataset.view === name) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  tell("view", { quiet });
  if (quiet) return;
  window.scrollTo({ top: 0 });
  document.getElementById("main").focus({ preventScroll: true });
}

export function startViews() {
  for (const link of document.querySelectorAll("a[data-view]")) {
    link.addEventListener("click", (event) => {
      if (event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      goTo(link.dataset.view);
    });
  }
  document.getElementById("skip").addEventListener("click", (event) => {
    event.preventDefault();
    document.getElementById("main").focus();
  });
}
