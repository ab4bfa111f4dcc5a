// Small helpers to build parts of the page; text is always set as text.

export function make(tag, attributes = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "class") element.className = value;
    else if (name === "dataset") Object.assign(element.dataset, value);
    else if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...inside.flat().filter((part) => part !== null && part !== undefined && part !== false));
  return element;
}

export const byId = (id) => document.getElementById(id);

/** A table from column heads and rows; the first cell of a row is its head. A head or cell may be {text, words: true}. */
export function table({ caption, head, rows, marked = () => false }) {
  const cell = (tag, value, attributes = {}) => {
    const plain = typeof value === "object" && value !== null && !(value instanceof Node);
    return make(tag, { ...attributes, class: plain && value.words ? "words" : null }, plain ? value.text : value);
  };
  return make("table", {},
    make("caption", {}, caption),
    make("thead", {}, make("tr", {}, head.map((name) => cell("th", name, { scope: "col" })))),
    make("tbody", {}, rows.map((row, place) =>
      make("tr", { class: marked(row, place) ? "first-choice" : null },
        row.map((value, column) => (column ? cell("td", value) : cell("th", value, { scope: "row" })))))));
}

export function color(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name.replaceAll("_", "-")}`).trim();
}

export const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
