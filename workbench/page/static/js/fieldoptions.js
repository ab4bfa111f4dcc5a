// What a person may set beside the direction: margins, a machine, paddocks, the compass.

import { make } from "./html.js";
import { FEET_PER_METRE, isMetric } from "./units.js";

const FIELDS = [
  ["headland_ft", "Headland at the ends of rows", "ft", (layout) => layout.margins.headland_ft],
  ["setback_ft", "Free of trees along fence and holes", "ft", (layout) => layout.margins.setback_ft],
  ["stream_buffer_ft", "Free of trees along water", "ft", (layout) => layout.margins.stream_buffer_ft],
  ["equipment_ft", "Width of the mower", "ft", (layout) => layout.equipment[0]?.width_ft],
  ["paddocks", "Paddocks", "", () => 1],
  ["declination", "Compass declination, east above 0", "°", () => null],
];

const outOf = (unit, value) => (unit === "ft" && isMetric() ? Number((value / FEET_PER_METRE).toFixed(1)) : value);
const intoFeet = (unit, value) => (unit === "ft" && isMetric() ? Number((value * FEET_PER_METRE).toPrecision(8)) : value);
const unitOf = (unit) => (unit === "ft" && isMetric() ? "m" : unit);

/** Build the boxes; `set(name, value)` is called whenever a person has set one, with undefined for an empty box. */
export function buildOptions(place, options, set) {
  const boxes = FIELDS.map(([name, label, unit]) => {
    const id = `ground-${name}`;
    const input = make("input", { type: "number", id, step: "any", inputmode: "decimal", "aria-describedby": `${id}-wrong`, dataset: { option: name },
      onchange: (event) => set(name, event.target.value.trim() === "" ? undefined : intoFeet(unit, Number(event.target.value))) });
    if (options[name] !== undefined) input.value = String(outOf(unit, options[name]));
    return field(id, label, make("div", { class: "with-unit" }, input, unit ? make("span", { class: "unit" }, unitOf(unit)) : null));
  });
  const lines = make("select", { id: "ground-paddock_lines", dataset: { option: "paddock_lines" }, "aria-describedby": "ground-paddock_lines-wrong", onchange: (event) => set("paddock_lines", event.target.value === "along" ? undefined : event.target.value) },
    make("option", { value: "along" }, "along the rows"), make("option", { value: "across" }, "across the rows"));
  lines.value = options.paddock_lines ?? "along";
  const system = make("input", { type: "text", id: "ground-crs", dataset: { option: "crs" }, placeholder: "longitude, latitude", maxlength: 40, "aria-describedby": "ground-crs-wrong",
    onchange: (event) => set("crs", event.target.value.trim() || undefined) });
  system.value = options.crs ?? "";
  place.replaceChildren(...boxes, field("ground-paddock_lines", "Cross-fences", lines), field("ground-crs", "Coordinate system", system));
}

/** Show greyed what holds where nothing is typed. */
export function showUsual(place, layout) {
  for (const [name, , unit, usual] of FIELDS) {
    const value = usual(layout);
    place.querySelector(`[data-option="${name}"]`).placeholder = value === null || value === undefined ? "" : String(outOf(unit, value));
  }
}

function field(id, label, input) {
  return make("div", { class: "field" }, make("label", { for: id }, label), input, make("p", { class: "wrong", id: `${id}-wrong`, hidden: true }));
}
