// The rows from above: crowns as circles, rows at their true azimuth, north up.

import { clamp, color } from "./html.js";
import { alleyOf, chance, cutAt, lightColor, rowsAt, tilesOf } from "./moment.js";
import { FEET_PER_METRE, isMetric } from "./units.js";

const SQUARE_FEET_PER_ACRE = 43560;
let ramp = null;

/** Feet between planting spots along a row, from the trees that stood at first. */
function spacing(rows, scene) {
  const first = scene.years.find((year) => year.life === rows.life && year.trees_per_ac > 0);
  if (!first) return scene.in_row_ft ?? 8;
  const standing = first.trees_share.reduce((sum, share) => sum + share, 0);
  return clamp((SQUARE_FEET_PER_ACRE * standing) / (scene.cell_ft * first.trees_per_ac), 2, 80);
}

export function drawAbove(box, version, { time, after, system }) {
  ramp ??= [0, 1, 2, 3].map((place) => color(`light-${place}`));
  const rows = rowsAt(version, system, time, after);
  const { scene } = rows;
  const size = Math.max(box.clientWidth, 160);
  const side = clamp(scene.rows.length ? scene.cell_ft * 2.2 : 120, 90, 180); // feet shown
  const scale = size / side;
  const alley = alleyOf(scene);
  const middle = alley.start + alley.width / 2;
  const half = side * 0.72;
  const turn = `translate(${size / 2} ${size / 2}) rotate(${scene.azimuth_deg}) scale(${scale} ${-scale}) translate(${-middle} 0)`;
  const inside = `${groundFromAbove(rows, middle, half)}<line class="cut-line" x1="${middle - half}" x2="${middle + half}" y1="0" y2="0"/>${crowns(rows, version, system, { middle, half })}`;
  box.innerHTML = `<svg viewBox="0 0 ${size} ${size}" role="img" aria-labelledby="above-words" focusable="false"><g transform="${turn}">${inside}</g>${north(size)}${bar(size, scale)}</svg>`;
}

function groundFromAbove(rows, middle, half) {
  const { scene, light } = rows;
  const [left, right] = [middle - half, middle + half];
  let drawn = `<rect class="strip" x="${left}" y="${-half}" width="${2 * half}" height="${2 * half}"/>`;
  const tiles = tilesOf(scene, light);
  if (!scene.rows.length) {
    return `${drawn}<rect x="${left}" y="${-half}" width="${2 * half}" height="${2 * half}" fill="${lightColor(ramp, tiles[0]?.light ?? 1)}"/>`;
  }
  for (let cell = Math.floor(left / scene.cell_ft) - 1; cell * scene.cell_ft < right; cell += 1) {
    for (const tile of tiles) {
      const start = Math.max(tile.start + cell * scene.cell_ft, left);
      const end = Math.min(tile.end + cell * scene.cell_ft, right);
      if (end > start) drawn += `<rect x="${start.toFixed(2)}" y="${-half}" width="${(end - start + 0.08).toFixed(2)}" height="${2 * half}" fill="${lightColor(ramp, tile.light)}"/>`;
    }
  }
  return drawn;
}

/** Every spot along the rows: a crown where a tree lives, a stump where one was felled in the last three years. */
function crowns(rows, version, system, { middle, half }) {
  const { scene } = rows;
  const gap = spacing(rows, scene);
  const lately = recentShares(rows, version, system);
  let drawn = "";
  scene.rows.forEach((offset, row) => {
    const radius = (rows.crown_width_ft[row] / 2).toFixed(2);
    const share = rows.alive[row] ? rows.trees_share[row] : 0;
    const before = lately[row] ?? 0;
    for (let cell = Math.floor((middle - half) / scene.cell_ft) - 1; cell * scene.cell_ft < middle + half; cell += 1) {
      const x = offset + cell * scene.cell_ft;
      if (Math.abs(x - middle) > half) continue;
      for (let spot = -Math.ceil(half / gap); spot * gap <= half; spot += 1) {
        const luck = chance(spot, row + 1, cell);
        const place = `cx="${x.toFixed(2)}" cy="${(spot * gap + (row % 2) * gap * 0.5).toFixed(2)}"`;
        if (luck < share) drawn += `<circle class="from-above" vector-effect="non-scaling-stroke" ${place} r="${radius}"/><circle class="tip" ${place} r=".45"/>`;
        else if (luck < before) drawn += `<circle class="stump" ${place} r=".85"/>`;
      }
    }
  });
  return drawn;
}

function recentShares(rows, version, system) {
  for (let year = rows.year; year >= Math.max(0, rows.year - 3); year -= 1) {
    if (cutAt(version, system, year)) return rows.scene.years[year].trees_share;
  }
  return [];
}

function north(size) {
  return `<g transform="translate(${size - 22} 26)"><circle class="paper" r="18" cy="2"/><path class="north" d="M0-13L5 5 0 1-5 5z" stroke="none"/><text class="mark" y="17" text-anchor="middle">N</text></g>`;
}

/** A length everybody can pace. */
function bar(size, scale) {
  const [length, words] = isMetric() ? [10 * FEET_PER_METRE, "10 m"] : [40, "40 ft"];
  const width = length * scale;
  return `<g transform="translate(10 ${size - 12})"><rect class="paper" x="-5" y="-19" width="${width + 10}" height="26" rx="3"/><path class="scale-line" d="M0-4v4h${width}v-4"/><text class="mark" x="${width / 2}" y="-6" text-anchor="middle">${words}</text></g>`;
}
