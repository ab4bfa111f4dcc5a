// A layout in words and counts, as the page says them beside its map.

import { make } from "./html.js";
import { shown, unitName } from "./units.js";
import { count } from "./words.js";

/** Whole degrees, with a tenth where there is one. */
export const degrees = (value) => String(Math.round(value * 10) / 10);

/** Rows run 20 degrees east of north; a row has two ends, so the northern one is named. */
export function directionWords(azimuth) {
  const turn = Math.round((((azimuth % 180) + 180) % 180) * 10) / 10 % 180;
  if (turn === 0) return "rows run north and south";
  if (turn === 90) return "rows run east and west";
  const [off, side] = turn < 90 ? [turn, "east"] : [180 - turn, "west"];
  return `rows run ${degrees(off)} ${off === 1 ? "degree" : "degrees"} ${side} of north`;
}

const areaUnit = () => (unitName("ac") === "ac" ? "acres" : "hectares");
const lengthUnit = () => (unitName("ft") === "ft" ? "feet" : "metres");
const near = (value, step) => Math.round(value / step) * step;

/** Each count: what it is called, how it is read from a layout, how it is written. */
const COUNTS = [
  ["net", () => `net ${areaUnit()}`, (each) => each.net_ac, (value) => count(shown(value, "ac"), 1)],
  ["rows", () => "rows", (each) => each.rows, (value) => count(value, 0)],
  ["feet", () => `${lengthUnit()} of row`, (each) => each.row_length_ft, (value) => count(near(shown(value, "ft"), 10), 0)],
  ["trees", () => "trees to plant", (each) => each.trees, (value) => count(value, 0)],
  ["order", () => "seedlings to order", (each) => each.order.total, (value) => count(value, 0)],
  ["short", () => "short rows", (each) => each.short_rows, (value) => count(value, 0)],
  ["walk", () => `${lengthUnit()}, farthest walk to water`, (each) => each.paddocks.farthest_walk_ft, (value) => count(near(shown(value, "ft"), 10), 0)],
];

/** The counts of a layout, and how each differs from the one in the plan's direction. */
export function countsOf(layout, before) {
  return COUNTS.map(([id, name, pick, written]) => {
    const difference = before ? written(Math.abs(pick(layout) - pick(before))) : "0";
    const more = before && pick(layout) > pick(before);
    const said = !before ? "" : Number(difference.replaceAll(",", "")) === 0 ? "as in the plan" : `${difference} ${more ? "more" : id === "feet" || id === "net" || id === "walk" ? "less" : "fewer"}`;
    return make("div", { dataset: { count: id } }, make("dt", {}, name()), make("dd", {}, make("b", {}, written(pick(layout))), make("span", { class: "small" }, said)));
  });
}

/** What the colours mean, each with its acres. */
export function keyOf(layout) {
  const parts = [["rows", "Tree rows", layout.tree_strip_ac], ["net", "Alleys", layout.alley_ac], ["headland", "Headlands", layout.headland_ac], ["unusable", "Not planted", layout.unusable_ac]];
  return parts.map(([kind, name, acres]) => make("li", {}, make("i", { class: `swatch ${kind}`, "aria-hidden": "true" }), `${name} ${count(shown(acres, "ac"), 1)} ${unitName("ac")}`));
}

export function mapWords(layout) {
  return `Map of the field, north up: ${count(layout.rows, 0)} rows; ${directionWords(layout.azimuth.true_deg)}. ${count(shown(layout.net_ac, "ac"), 1)} of ${count(shown(layout.field_ac, "ac"), 1)} ${areaUnit()} carry rows and alleys.`;
}

export const fieldSize = (layout) => `${count(shown(layout.field_ac, "ac"), 1)} ${areaUnit()}`;

export function turnedWords(layout) {
  return `${count(layout.rows, 0)} rows, ${count(layout.trees, 0)} trees, ${count(shown(layout.net_ac, "ac"), 1)} net ${areaUnit()}.`;
}
