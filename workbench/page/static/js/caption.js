// One sentence under the picture that says what the year brings.

import { cutAt, groundOf } from "./moment.js";
import { shown, unitName } from "./units.js";
import { capital, count, listed, percent } from "./words.js";

/** What the year of a system brings, for a version, system, year and side of a cut. */
function captionOf(version, { system, year, after }) {
  const data = version.comparison.systems[system].years[year];
  const scene = version.scene.systems[system].years[year];
  const before = year > 0 ? version.scene.systems[system].years[year - 1] : null;
  const when = year === 0 ? startWords(version) : `Year ${year}`;
  if (after) return `${when}, after ${eventWords(scene) || "the cut"}: ${standing(version, system, year + 1, data)}.`;
  const lead = cutAt(version, system, year) ? `${when}, before ${eventWords(scene) || "the cut"}`
    : before && cutAt(version, system, year - 1) ? `${when}, after ${eventWords(before) || "the cut"}` : when;
  return `${lead}: ${[trees(data), light(data, version), use(version, system, year)].filter(Boolean).join("; ")}.`;
}

function startWords(version) {
  return version.plan.stand ? "Today" : "The planting year";
}

function eventWords(scene) {
  const cuts = (scene.events ?? []).filter((event) => /^thinned|trees cut/.test(event));
  return listed(cuts.map((event) => event.replace(/^thinned/, "thinning").replace(/^all trees cut/, "the final harvest").replace(/(\d+) trees\/ac/, (_, trees) => perAcre(Number(trees)))));
}

function standing(version, system, year, now) {
  const next = version.comparison.systems[system].years[year];
  if (!next || next.age < now.age) return "the ground is bare of trees until it is planted again";
  return `${perAcre(next.trees_per_ac)} are left, and ${percent(next.light_warm)} of the light reaches the ground in the next summer`;
}

function perAcre(trees) {
  return `${count(shown(trees, "per_ac"), 0)} trees ${unitName("per_ac")}`;
}

function trees(data) {
  if (data.trees_per_ac < 1) return "";
  const height = shown(data.dominant_height_ft, "ft");
  const dbh = shown(data.quadratic_mean_dbh_in, "in");
  const stout = data.quadratic_mean_dbh_in >= 1 ? ` and ${count(dbh)} ${unitName("in")} thick` : "";
  return `${perAcre(data.trees_per_ac)}, ${count(height)} ${unitName("ft")} tall${stout}`;
}

function light(data, version) {
  const share = data.forage_share_of_open;
  if (data.trees_per_ac < 1) return "the grass has the whole sun";
  const grass = version.plan.pasture && Number.isFinite(share) ? `, and grows ${percent(share)} of what it would in the open` : "";
  return `the grass gets ${percent(data.light_warm)} of the light${grass}`;
}

function use(version, system, year) {
  const scene = version.scene.systems[system].years[year];
  const data = version.comparison.systems[system].years[year];
  const area = fieldWords(version);
  if (scene.use === "grazing") {
    return grazing(version, scene, data);
  }
  const bales = data.straw_bales_ac > 0 ? `about ${count(data.straw_bales_ac * version.comparison.area_ac, 0)} bales of pine straw are raked on ${area}` : "";
  if (scene.use === "hay") {
    const tons = data.hay_ton_ac * version.comparison.area_ac;
    return [`about ${count(tons, 0)} tons of hay are made on ${area}`, bales].filter(Boolean).join("; ");
  }
  return bales || (year > 0 && data.trees_per_ac >= 1 && system !== "plantation" ? "nobody grazes or mows" : "");
}

const SUMMER_MONTHS = 6; // what an owner calls a summer on grass; a month of a cow is an animal-unit month

/** Head of one's own herd, or how many cows a tenant could summer; of small stock the months. */
function grazing(version, scene, data) {
  const area = fieldWords(version);
  const many = scene.animals_word;
  const named = (number) => `${number} ${number === 1 ? many.replace(/s$/, "") : many}`;
  if (scene.head >= 1) return `it carries ${named(Math.round(scene.head))} on ${area}`;
  const months = data.animal_unit_months_ac * version.comparison.area_ac;
  const cows = Math.round(months / SUMMER_MONTHS);
  if (scene.animals === "cattle" && cows >= 1) return `about ${named(cows)} could summer on ${area}`;
  return `${count(months, 0)} animal-unit months of grazing on ${area}`;
}

export function fieldWords(version) {
  const area = shown(version.comparison.area_ac, "ac");
  return `${count(area)} ${unitName("ac") === "ac" ? "acres" : "hectares"}`;
}

const COMPASS = ["north", "north-east", "east", "south-east", "south"];

/** What the plan view shows, in words. */
export function aboveWords(version, { system, year }) {
  const scene = groundOf(version, system, year);
  if (!scene.rows.length) return "From above: open grass.";
  const turn = ((scene.azimuth_deg % 180) + 180) % 180;
  const way = turn === 0 ? "north and south" : turn === 90 ? "east and west" : `${Math.round(turn)}° from north`;
  const next = cutAt(version, system, year) || (year > 0 && cutAt(version, system, year - 1));
  const looks = COMPASS[Math.round(turn / 45)];
  return `From above: rows run ${way}; the picture is cut at the red line and looks ${looks}.${next ? " Pale dots: stumps of the last cut." : ""}`;
}

export const captionText = (version, moment) => capital(captionOf(version, moment));
