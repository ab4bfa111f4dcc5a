// The alley cut across, true to scale: one foot across is one foot up, in every year.

import { clamp, color } from "./html.js";
import { alleyOf, chance, cutAt, lightColor, rowsAt, tallest, tilesOf } from "./moment.js";
import { ANIMALS, bale, crownSymbols, person, strawBales, stump, tree } from "./shapes.js";
import { sunPath } from "./sun.js";
import { FEET_PER_METRE, isMetric } from "./units.js";

const DEPTH_FT = 3.4;
const MARGIN_LEFT = 38, MARGIN_BOTTOM = 22;
const STRAW_STACK_FT = 5.4, BALE_FT = 5, PERSON_FT = 2;

let ramp = null;

/** How the drawing lies in its box: size in points, points a foot, feet across. */
function frame(box, version) {
  const width = Math.max(box.clientWidth, 240);
  const height = Math.round(clamp(width * (width < 600 ? 0.92 : 0.53), 250, 540));
  const top = Math.max(30, tallest(version) * 1.05 + 3);
  const scale = (height - MARGIN_BOTTOM) / (top + DEPTH_FT);
  const across = (width - MARGIN_LEFT) / scale;
  return { width, height, top, scale, across };
}

export function drawSlice(box, version, { time, after, month, system }) {
  ramp ??= [0, 1, 2, 3].map((place) => color(`light-${place}`));
  const rows = rowsAt(version, system, time, after);
  const { scene } = rows;
  const fit = frame(box, version);
  const alley = alleyOf(scene);
  const left = alley.start + alley.width / 2 - fit.across / 2; // feet across at the left edge
  const ground = fit.height - MARGIN_BOTTOM - DEPTH_FT * fit.scale;
  const place = (across, up) => [MARGIN_LEFT + (across - left) * fit.scale, ground - up * fit.scale];
  const seen = { left, right: left + fit.across };
  const stems = [];
  const trees = drawTrees(rows, seen, stems, version, system);
  const sun = sunPath(version.scene.sun?.month[month], scene.azimuth_deg, {
    middle: left + fit.across / 2, radius: Math.min(fit.top - 4, fit.across / 2 - 6), place, inward: fit.width < 480,
  });
  const feet = `translate(${(MARGIN_LEFT - left * fit.scale).toFixed(2)} ${ground.toFixed(2)}) scale(${fit.scale.toFixed(4)} ${(-fit.scale).toFixed(4)})`;
  const svg = sheet(box);
  svg.setAttribute("viewBox", `0 0 ${fit.width} ${fit.height}`);
  const edge = svg.querySelector("clipPath rect");
  edge.setAttribute("width", fit.width - MARGIN_LEFT);
  edge.setAttribute("height", fit.height - MARGIN_BOTTOM);
  svg.querySelector(".drawn").innerHTML = `${marks(fit, ground)}<g clip-path="url(#sliced)">${sun}<g transform="${feet}" class="feet">${drawGround(rows, seen)}${trees}${drawLife(rows, seen, stems)}</g></g>`;
}

/** The drawing with what never changes in it; only the rest is drawn anew. */
function sheet(box) {
  if (!box.firstElementChild) {
    box.innerHTML = `<svg role="img" aria-labelledby="caption" focusable="false"><defs>${crownSymbols()}<clipPath id="sliced"><rect x="${MARGIN_LEFT}" y="0"/></clipPath></defs><g class="drawn"></g></svg>`;
  }
  return box.firstElementChild;
}

function repeats(scene, seen, reach = 0) {
  const cells = [];
  for (let cell = Math.floor((seen.left - reach) / scene.cell_ft) - 1; cell * scene.cell_ft < seen.right + reach; cell += 1) cells.push(cell);
  return cells;
}

function drawGround(rows, seen) {
  const { scene, light } = rows;
  let drawn = `<rect class="strip" x="${seen.left}" y="${-DEPTH_FT}" width="${seen.right - seen.left}" height="${DEPTH_FT}"/>`;
  let blades = "";
  const tall = (rows.grass_height_in ?? 20) / 12;
  const tiles = tilesOf(scene, light);
  const mean = tiles.reduce((sum, tile) => sum + tile.light, 0) / Math.max(tiles.length, 1) || 1;
  const cells = scene.rows.length ? repeats(scene, seen) : [0];
  for (const cell of cells) {
    for (const tile of tiles) {
      const [start, end] = scene.rows.length
        ? [Math.max(tile.start + cell * scene.cell_ft, seen.left), Math.min(tile.end + cell * scene.cell_ft, seen.right)]
        : [seen.left, seen.right];
      if (end <= start) continue;
      drawn += `<rect x="${start.toFixed(2)}" y="${-DEPTH_FT}" width="${(end - start + 0.06).toFixed(2)}" height="${DEPTH_FT}" fill="${lightColor(ramp, tile.light)}"/>`;
      blades += grass(start, end, tall * clamp(tile.light / mean, 0.4, 1.5));
    }
  }
  return `${drawn}<path class="blade" stroke-width=".13" d="${blades}"/>`;
}

function grass(start, end, height) {
  let path = "";
  for (let blade = Math.ceil(start / 0.55); blade * 0.55 < end; blade += 1) {
    const x = blade * 0.55 + 0.3 * chance(blade, 5);
    const top = height * (0.55 + 0.55 * chance(blade, 9));
    path += `M${x.toFixed(2)} -.1Q${x.toFixed(2)} ${(top * 0.6).toFixed(2)} ${(x + (chance(blade, 2) - 0.45) * 0.7).toFixed(2)} ${top.toFixed(2)}`;
  }
  return path;
}

function drawTrees(rows, seen, stems, version, system) {
  const { scene } = rows;
  let drawn = "";
  scene.rows.forEach((offset, row) => {
    const reach = rows.crown_width_ft[row] / 2;
    for (const cell of repeats(scene, seen, reach)) {
      const x = offset + cell * scene.cell_ft;
      if (x < seen.left - reach || x > seen.right + reach) continue;
      if (!rows.alive[row] || rows.trees_share[row] <= 0) {
        if (felledLately(rows, row, version, system)) drawn += stump(x, rows.dbh_in[row]);
        continue;
      }
      const half = Math.max(rows.dbh_in[row] / 24, 0.3);
      stems.push([x - half, x + half]);
      drawn += tree(x, {
        height: rows.height_ft[row], base: rows.crown_base_ft[row], width: rows.crown_width_ft[row], dbh: rows.dbh_in[row],
        fullness: clamp(rows.trees_share[row], 0, 1),
      }, Math.abs(cell * scene.rows.length + row) % 4);
    }
  });
  return drawn;
}

function felledLately(rows, row, version, system) {
  return rows.dbh_in[row] > 1 && (cutAt(version, system, rows.year) || (rows.year > 0 && cutAt(version, system, rows.year - 1)));
}

/** Stretches of grass across the picture; between the rows of a set nothing grazes and no bale lies. */
function openGround(rows, seen) {
  const { scene, light } = rows;
  if (!scene.rows.length) return [[seen.left, seen.right]];
  const found = [];
  for (const cell of repeats(scene, seen)) {
    for (const { start, end } of tilesOf(scene, light)) {
      const [from, to] = [start + cell * scene.cell_ft, end + cell * scene.cell_ft];
      if (found.length && from - found.at(-1)[1] < 0.1) found.at(-1)[1] = to;
      else found.push([from, to]);
    }
  }
  return found.map(([from, to]) => [Math.max(from, seen.left), Math.min(to, seen.right)]);
}

/** Free places on open ground for things of some width, none of them in a stem. */
function finder(stems, ground) {
  const taken = [...stems];
  return (wish, width) => {
    let best = null;
    for (const [from, to] of ground) {
      for (let x = from + width / 2 + 0.6; x <= to - width / 2 - 0.6; x += 0.5) {
        if (taken.some(([low, high]) => x + width / 2 + 0.7 > low && x - width / 2 - 0.7 < high)) continue;
        if (best === null || Math.abs(x - wish) < Math.abs(best - wish)) best = x;
      }
    }
    if (best !== null) taken.push([best - width / 2, best + width / 2]);
    return best;
  };
}

function drawLife(rows, seen, stems) {
  const width = seen.right - seen.left;
  const find = finder(stems, openGround(rows, seen));
  const wish = (share) => seen.left + share * width;
  let drawn = "";
  const put = (share, size, draw) => {
    const x = find(wish(share), size);
    if (x !== null) drawn += draw(x);
  };
  put(0.5, PERSON_FT, person);
  if (rows.use === "grazing") {
    const animal = ANIMALS[rows.animals] ?? ANIMALS.cattle;
    const many = clamp(Math.round(rows.animal_unit_months_ac * 2.2), 1, width > 120 ? 5 : 2);
    [0.41, 0.64, 0.14, 0.86, 0.28].slice(0, many).forEach((share, place) =>
      put(share, animal.width, (x) => animal.draw(x, { left: place % 2 === 0, grazing: place !== 1 })));
  }
  if (rows.use === "hay") [0.42, 0.62, 0.16, 0.84].slice(0, width > 120 ? 4 : 2).forEach((share) => put(share, BALE_FT, bale));
  if (rows.straw_bales > 0) put(0.34, STRAW_STACK_FT, strawBales);
  return drawn;
}

/** Marks of feet (or metres) up the left side and along the foot. */
function marks(fit, ground) {
  const unit = isMetric() ? FEET_PER_METRE : 1;
  const every = isMetric() ? 5 : fit.scale * 10 > 26 ? 10 : 20;
  const name = isMetric() ? "m" : "ft";
  let drawn = "";
  for (let up = 0; up * unit < fit.top - 1; up += every) {
    const y = ground - up * unit * fit.scale;
    drawn += `<line class="grid" x1="${MARGIN_LEFT}" x2="${fit.width}" y1="${y}" y2="${y}"/><text class="mark" x="${MARGIN_LEFT - 5}" y="${y + 4}" text-anchor="end">${up}${up ? "" : ` ${name}`}</text>`;
  }
  for (let along = every; along * unit < fit.across - 3; along += every) {
    const x = MARGIN_LEFT + along * unit * fit.scale;
    drawn += `<line class="scale-line" x1="${x}" x2="${x}" y1="${fit.height - MARGIN_BOTTOM}" y2="${fit.height - MARGIN_BOTTOM + 4}" opacity=".5"/><text class="mark" x="${x}" y="${fit.height - 6}" text-anchor="middle">${along}</text>`;
  }
  return drawn;
}
