// The state of the rows at a moment: a whole year, the far side of a cut, or a time between two years while it plays.

const mix = (from, to, share) => from + (to - from) * share;
const lerp = (from, to, share) => from.map((value, place) => mix(value, to[place] ?? value, share));

/** Whether trees are felled at the end of a year in a system of a version. */
export function cutAt(version, system, year) {
  return (version.comparison.systems[system]?.years[year]?.trees_cut_per_ac ?? 0) > 0.5;
}

/** A new planting begins here: trees are shorter than the year before. */
function replanted(now, next) {
  return Math.max(0, ...next.height_ft) < Math.max(0, ...now.height_ft) * 0.8;
}

/** Nothing stands: what a final cut leaves until the next planting. */
function felled(now) {
  return { ...now, alive: now.alive.map(() => 0), trees_share: now.trees_share.map(() => 0), use: "rest", head: 0, bales: 0 };
}

/** The far side of a cut: sizes of the year, numbers and light of the season that follows. */
function afterCut(now, next) {
  if (!next || replanted(now, next)) return felled(now);
  return { ...now, alive: next.alive, trees_share: next.trees_share, light: next.light, grass_height_in: next.grass_height_in,
    crown_width_ft: next.crown_width_ft, dbh_in: now.dbh_in, use: "none", head: 0, bales: 0 };
}

/**
 * Rows at a time.
 * @param version the plan worked through
 * @param system its key
 * @param time year, with a share of the next while playing
 * @param after whether a cut of this very year has been made
 */
export function rowsAt(version, system, time, after) {
  const { years } = version.scene.systems[system];
  const year = Math.min(Math.floor(time), years.length - 1);
  const now = years[year];
  const next = years[year + 1]?.life === now.life ? years[year + 1] : undefined;
  const scene = groundOf(version, system, year);
  const cut = cutAt(version, system, year);
  const stands = cut && (after || time > year) ? afterCut(now, next) : now;
  const share = time - year;
  if (share <= 0 || !next || replanted(now, next)) return { scene, year, ...stands };
  return {
    scene, year, ...stands,
    height_ft: lerp(stands.height_ft, next.height_ft, share),
    crown_base_ft: lerp(stands.crown_base_ft, next.crown_base_ft, share),
    crown_width_ft: lerp(stands.crown_width_ft, next.crown_width_ft, share),
    dbh_in: lerp(stands.dbh_in, next.dbh_in, share),
    light: lerp(stands.light, next.light, share),
    use: next.use, head: next.head, bales: next.bales, animals_word: next.animals_word,
  };
}

/** Stretches of grass ground in one cell with the light on each [ft, share]; between them lie the tree rows. */
export function tilesOf(scene, light) {
  const points = scene.points_ft;
  if (!scene.rows.length || points.length < 2) {
    const mean = light.reduce((sum, value) => sum + value, 0) / Math.max(light.length, 1);
    return [{ start: 0, end: scene.cell_ft, light: mean }];
  }
  const gaps = points.slice(1).map((point, place) => point - points[place]);
  const step = [...gaps].sort((one, other) => one - other)[Math.floor(gaps.length / 2)];
  return points.map((point, place) => {
    const before = place && gaps[place - 1] < 1.5 * step ? gaps[place - 1] : step;
    const behind = place < gaps.length && gaps[place] < 1.5 * step ? gaps[place] : step;
    return { start: point - before / 2, end: point + behind / 2, light: light[place] };
  });
}

/** Rows, cell and ground points of a year: a stand that was found and what follows it have each their own. */
export function groundOf(version, system, year) {
  const whole = version.scene.systems[system];
  return { ...(whole.lives?.[whole.years[year].life ?? 0] ?? whole), years: whole.years };
}

/** The widest open ground between neighbouring rows, as start and width within the cell [ft]. */
export function alleyOf(scene) {
  const rows = [...scene.rows].sort((one, other) => one - other);
  if (!rows.length) return { start: 0, width: scene.cell_ft };
  const spans = rows.map((row, place) => ({ start: row, width: (rows[place + 1] ?? rows[0] + scene.cell_ft) - row }));
  return spans.reduce((widest, span) => (span.width > widest.width + 1e-6 ? span : widest));
}

const tops = new WeakMap();

/** The tallest tree of any system and year [ft]. */
export function tallest(version) {
  if (!tops.has(version)) tops.set(version, searchTallest(version));
  return tops.get(version);
}

function searchTallest(version) {
  let top = 0;
  for (const scene of Object.values(version.scene.systems)) {
    for (const year of scene.years) {
      year.height_ft.forEach((height, row) => { if (year.alive[row] && height > top) top = height; });
    }
  }
  return top;
}

/** The colour of ground under a share of full light, from the ramp that charts share. */
export function lightColor(ramp, share) {
  const place = Math.min(Math.max(share, 0), 1) * (ramp.length - 1);
  const low = Math.min(Math.floor(place), ramp.length - 2);
  const part = (color, at) => parseInt(color.slice(at, at + 2), 16);
  const tone = [1, 3, 5].map((at) => Math.round(mix(part(ramp[low], at), part(ramp[low + 1], at), place - low)));
  return `rgb(${tone.join(" ")})`;
}

/** A number between 0 and 1 that is always the same for the same place. */
export function chance(one, other = 0, third = 0) {
  let mixed = (one * 374761393 + other * 668265263 + third * 2147483647) | 0;
  mixed = Math.imul(mixed ^ (mixed >>> 13), 1274126177);
  return ((mixed ^ (mixed >>> 16)) >>> 0) / 4294967296;
}
