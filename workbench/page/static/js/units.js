// Display in acres and feet, or metric. The plan itself always stays in the units of its file.

export const FEET_PER_METRE = 3.280839895;
const ACRES_PER_HECTARE = 2.47105381;
const INCHES_TO_CM = 2.54;
const SHORT_TON_TO_TONNE = 0.90718474;
const POUND_AN_ACRE = 1.12085116; // to kg a hectare

const METRIC = {
  ft: ["m", 1 / FEET_PER_METRE],
  in: ["cm", INCHES_TO_CM],
  ac: ["ha", 1 / ACRES_PER_HECTARE],
  per_ac: ["a hectare", ACRES_PER_HECTARE],
  "$/ac": ["$/ha", ACRES_PER_HECTARE],
  "lb/ac": ["kg/ha", POUND_AN_ACRE],
  "ton/ac": ["t/ha", SHORT_TON_TO_TONNE * ACRES_PER_HECTARE],
};
const US = { per_ac: "an acre" };

let system = "us";

export function setUnits(name) {
  system = name === "metric" ? "metric" : "us";
}

export function isMetric() {
  return system === "metric";
}

/** A quantity in the units shown. */
export function shown(value, unit) {
  return isMetric() && METRIC[unit] ? value * METRIC[unit][1] : value;
}

/** The unit's name as shown. */
export function unitName(unit) {
  return isMetric() && METRIC[unit] ? METRIC[unit][0] : (US[unit] ?? unit);
}

/** Convert a value of a form field for display, and back into the file's unit. */
export function fieldOut(field, value) {
  if (!isMetric() || !field.metric || typeof value !== "number") return value;
  return Number((value * field.metric.factor + (field.metric.offset ?? 0)).toFixed(field.metric.digits));
}

export function fieldIn(field, value) {
  if (!isMetric() || !field.metric || typeof value !== "number") return value;
  return Number(((value - (field.metric.offset ?? 0)) / field.metric.factor).toPrecision(8));
}

export function fieldUnit(field) {
  return isMetric() && field.metric ? field.metric.unit : field.unit;
}
