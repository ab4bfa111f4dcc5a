// Things of known size, drawn in feet with the ground at 0 and up positive, and the crowns of pines.

import { chance } from "./moment.js";

const round = (value) => Math.round(value * 100) / 100;

/** 6 ft tall with a hat on. */
export function person(x) {
  const at = `transform="translate(${round(x)} 0)" class="person"`;
  return `<g ${at}><path d="M-.42 0h.36l.06 2.4.06-2.4h.36l.12 2.9h.02c.3.9.32 1.5.3 2.1-.05.25-.3.32-.5.35h-.72c-.22-.03-.46-.1-.5-.35-.03-.6 0-1.2.3-2.1h.02z"/>
<path d="M-.66 4.9l-.24-1.6.02-.75.26.02.05.7.2 1.2zM.66 4.9l.24-1.6-.02-.75-.26.02-.05.7-.2 1.2z"/><circle cy="5.55" r=".38"/><path d="M-.72 5.68c.3-.06.4-.05.44-.02C-.22 6.1-.12 6 0 6s.22.1.28-.34c.04-.03.14-.04.44.02-.2.14-.5.16-.72.16s-.52-.02-.72-.16z"/></g>`;
}

const GRAZING_COW = "M.25 4.2C1 4.38 1.9 4.25 2.8 4.22C3.7 4.2 4.3 4.42 4.95 4.5C5.6 4.5 6.05 4.1 6.35 3.4C6.55 2.95 6.75 2.6 6.95 2.35L7.3 2.5L7.2 2.1C7.35 1.6 7.6 .95 7.62 .55C7.55 .3 7.3 .25 7.1 .35C6.85 .8 6.55 1.3 6.35 1.55C6.1 1.85 5.85 2.05 5.6 2.1C5.5 1.95 5.4 1.85 5.3 1.8L5.22 .95L5.25 0H4.85L4.78 1L4.65 1.75C4 1.5 2.9 1.45 2 1.68L1.55 1.85C1.4 1.6 1.3 1.35 1.32 1L1.3 0H.9L.88 .95C.8 1.4 .6 1.75 .42 2.1C.2 2.6.1 3.3 .12 3.85z";
const STANDING_COW = "M.25 4.2C1 4.38 1.9 4.25 2.8 4.22C3.7 4.2 4.3 4.4 4.95 4.5C5.4 4.55 5.75 4.75 6.1 5.05L6.05 5.3L6.5 5.2C6.75 5.15 6.95 4.95 7.15 4.65L7.6 4.05C7.62 3.85 7.5 3.72 7.3 3.72C7 3.75 6.75 3.85 6.5 3.85C6.3 3.5 6 2.9 5.65 2.35C5.5 2.1 5.4 1.9 5.3 1.8L5.22 .95L5.25 0H4.85L4.78 1L4.65 1.75C4 1.5 2.9 1.45 2 1.68L1.55 1.85C1.4 1.6 1.3 1.35 1.32 1L1.3 0H.9L.88 .95C.8 1.4 .6 1.75 .42 2.1C.2 2.6.1 3.3 .12 3.85z";
const FAR_LEGS = "M1.75 2L1.85 .9 1.8 0h.34l.06 1 .1.9zM4.2 1.9L4.35.9 4.3 0h.33l.07 1 .1.9z";
const TAIL = "M.2 4.15C-.05 3.8-.05 2.9 0 2.1L-.1 1.6.12 1.6.14 2.1C.12 2.9.15 3.5.3 3.9z";

/** 4.5 ft at the shoulder, or as large a share of it as other cattle are. */
export function cow(x, { left = false, grazing = true, size = 1 } = {}) {
  const turn = left ? -1 : 1;
  const place = `translate(${round(x - turn * 3.8 * size)} 0) scale(${turn * size} ${size})`;
  return `<g transform="${place}" class="cow"><path d="${FAR_LEGS}" opacity=".75"/><path d="${grazing ? GRAZING_COW : STANDING_COW}"/><path d="${TAIL}"/></g>`;
}

const SHEEP = "M.1 1.7C.05 2.2.4 2.45.9 2.5C1.5 2.6 2.1 2.55 2.5 2.45L2.75 2.75C2.8 3 3.05 3.02 3.2 2.9L3.6 2.5C3.62 2.3 3.45 2.25 3.3 2.28L2.95 2.1C2.85 1.6 2.75 1.3 2.55 1.15L2.52 0H2.3L2.25 1.05C1.8.95 1.2.95.85 1.05L.8 0H.58L.52 1.05C.25 1.2.12 1.4.1 1.7z";

/** A sheep or goat, 3 ft at the head. */
function smallStock(x, { left = false } = {}, kind = "sheep") {
  const turn = left ? -1 : 1;
  return `<path class="${kind}" transform="translate(${round(x - turn * 1.8)} 0) scale(${turn} 1)" d="${SHEEP}"/>`;
}

/** A round bale, 5 ft across, seen from its end. */
export function bale(x) {
  return `<g transform="translate(${round(x)} 2.45)"><circle class="bale" r="2.5"/><path class="bale-turn" d="M.2 0a.5.5 0 1 0-.6.5 1 1 0 1 0 .9-1.3 1.5 1.5 0 1 0 .6 2.4 2 2 0 1 0-2.4-3.1"/></g>`;
}

/** A small stack of square bales of pine straw. */
export function strawBales(x) {
  return [[-2.6, 0], [0, 0], [-1.3, 1.25]]
    .map(([dx, y]) => `<rect class="straw" x="${round(x + dx)}" y="${y}" width="2.5" height="1.2"/>`).join("");
}

export const ANIMALS = {
  cattle: { width: 8, draw: (x, how) => cow(x, how) },
  stockers: { width: 6.6, draw: (x, how) => cow(x, { ...how, size: 0.82 }) },
  sheep: { width: 4, draw: (x, how) => smallStock(x, how, "sheep") },
  goats: { width: 4, draw: (x, how) => smallStock(x, how, "goat") },
};

const VARIANTS = 4;
const EDGE = 24, INSIDE = 44;

/** Symbols of crowns that fill an ellipse of radius 1, as the light meets it; put once into a drawing. */
export function crownSymbols() {
  return Array.from({ length: VARIANTS }, (_, kind) => {
    const clumps = [...edge(kind), ...inside(kind)];
    const path = (tone) => clumps.filter((clump) => clump.tone === tone).map(({ x, y, wide, high }) => needles(x, y, wide, high)).join("");
    return `<g id="crown-${kind}"><path class="clump-low" d="${heart}${path("low")}"/><path class="clump" d="${path("middle")}"/><path class="clump-lit" d="${path("lit")}"/></g>`;
  }).join("");
}

/** A clump of needles: level below, with points that fan out above. */
function needles(x, y, wide, high) {
  const points = 7;
  let path = `M${round(x - wide)} ${round(y)}`;
  for (let point = 0; point <= points; point += 1) {
    const angle = Math.PI * (1 - point / points);
    const valley = Math.PI * (1 - (point + 0.5) / points);
    path += `L${round(x + wide * Math.cos(angle))} ${round(y + high * Math.sin(angle) * 1.15)}`;
    if (point < points) path += `L${round(x + 0.74 * wide * Math.cos(valley))} ${round(y + 0.7 * high * Math.sin(valley))}`;
  }
  return `${path}Q${round(x)} ${round(y - 0.55 * high)} ${round(x - wide)} ${round(y)}z`;
}

/** The shaded heart of a crown. */
const heart = "M-.74 .05a.74.7 0 1 0 1.48 0a.74.7 0 1 0-1.48 0z";

/** Clumps along the edge, none of them beyond the ellipse; they make the outline uneven. */
function edge(kind) {
  return Array.from({ length: EDGE }, (_, place) => {
    const angle = (2 * Math.PI * (place + 0.6 * chance(place, kind, 1))) / EDGE;
    const wide = 0.15 + 0.06 * chance(place, kind, 2);
    const high = wide * 0.85;
    const out = 0.985 - wide * 0.9 - 0.08 * chance(place, kind, 3);
    const [x, y] = [out * Math.cos(angle), (0.985 - high - 0.06 * chance(place, kind, 4)) * Math.sin(angle)];
    return { x, y, wide, high: y < -0.3 ? -high : high, tone: y < -0.25 ? "low" : "middle" };
  });
}

/** Clumps within: lit where the sun comes from above and the right, dark below. */
function inside(kind) {
  return Array.from({ length: INSIDE }, (_, place) => {
    const [angle, out] = [2.4 * place + kind, 0.78 * Math.sqrt((place + 0.5) / INSIDE)];
    const wide = 0.13 + 0.08 * chance(place, kind, 6);
    const [x, y] = [out * Math.cos(angle), out * Math.sin(angle)];
    const sun = 0.45 * x + 0.9 * y + 0.5 * (chance(place, kind, 8) - 0.5);
    return { x, y, wide, high: wide * 0.8, tone: sun > 0.2 ? "lit" : sun > -0.28 ? "middle" : "low" };
  });
}

/** One tree of a row: a stem that tapers to the tip and the crown on it; paler where few stand along the row. */
export function tree(x, { height, base, width, dbh, fullness }, kind) {
  const half = Math.max(dbh / 24, 0.06);
  const [rx, ry, middle] = [width / 2, Math.max((height - base) / 2, 0.05), (height + base) / 2];
  const flip = kind % 2 ? -1 : 1;
  const stem = `<path class="stem" opacity="${round(0.8 + 0.2 * fullness)}" d="M${round(x - half)} 0L${round(x + half)} 0L${round(x)} ${round(height)}z"/>`;
  const crown = `<use href="#crown-${kind % VARIANTS}" transform="translate(${round(x)} ${round(middle)}) scale(${round(flip * rx)} ${round(ry)})" opacity="${round(0.74 + 0.26 * fullness)}"/>`;
  return stem + crown;
}

/** What a felled tree leaves. */
export function stump(x, dbh) {
  const half = Math.max(dbh / 24, 0.2);
  return `<rect class="stem" x="${round(x - half)}" y="0" width="${round(2 * half)}" height=".6"/>`;
}
