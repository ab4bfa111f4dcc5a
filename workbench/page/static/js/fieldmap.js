// The map of a field inside a compass: ground, rows, water, fences; north up, to one scale.

import { FEET_PER_METRE, isMetric } from "./units.js";

const RING_ROOM = 38; // points beyond the ring, for its letters and the handle
const INSIDE = 8; // points between the ring and the field's farthest corner
const LETTER_OUT = 27;
const BESIDE = [-13, 17, -27, 31]; // points from a thing to the middle of its name, up first
const BELOW = [14, -27, 28];
const NICE_FT = [20, 50, 100, 200, 300, 500, 1000, 2000, 3000, 5000, 10000, 20000];
const NICE_M = [10, 20, 50, 100, 200, 300, 500, 1000, 2000, 5000];

const escaped = (text) => text.replace(/[&<>"]/g, (letter) => `&#${letter.charCodeAt(0)};`);
const round = (value) => Math.round(value * 10) / 10;
const radians = (degrees) => (degrees * Math.PI) / 180;

/** Where feet lie in a square drawing of a size: the field's farthest corner just inside the ring. */
function frameOf(picture, size) {
  const [west, south, east, north] = picture.extents;
  const middle = [(west + east) / 2, (south + north) / 2];
  const reach = Math.max(...picture.outline.flat(2).map(([x, y]) => Math.hypot(x - middle[0], y - middle[1])), 1);
  const radius = size / 2 - RING_ROOM;
  const scale = (radius - INSIDE) / reach;
  const at = ([x, y]) => [round(size / 2 + (x - middle[0]) * scale), round(size / 2 - (y - middle[1]) * scale)];
  return { size, middle, reach, radius, scale, at };
}

/** Where the handle stands, as shares of the drawing. */
export function onRing(frame, heading) {
  const turn = radians(heading);
  return [0.5 + (frame.radius / frame.size) * Math.sin(turn), 0.5 - (frame.radius / frame.size) * Math.cos(turn)];
}

const path = (rings, frame) => rings.map((ring) => `M${ring.map((point) => frame.at(point).join(" ")).join("L")}z`).join("");
const areas = (polygons, frame) => polygons.map((rings) => path(rings, frame)).join("");
const line = (points, frame) => `M${points.map((point) => frame.at(point).join(" ")).join("L")}`;

export function drawMap(box, picture, { pattern, declination, words }) {
  const size = Math.max(box.clientWidth, 200);
  const frame = frameOf(picture, size);
  const rows = picture.rows.map(([x0, y0, x1, y1]) => line([[x0, y0], [x1, y1]], frame)).join("");
  const thick = Math.min(Math.max(frame.scale * 2.2, 0.55), 1.7);
  const ground = [
    ["ground-net", areas(picture.net, frame)], ["ground-headland", areas(picture.headlands, frame)],
    ["ground-unusable", areas(picture.unusable, frame)],
  ].map(([kind, d]) => `<path class="${kind}" fill-rule="evenodd" d="${d}"/>`).join("");
  const things = [
    ["ground-hole", areas(picture.holes, frame)], ["ground-pond", areas(picture.ponds, frame)], ["ground-lane", areas(picture.lanes, frame)],
    ["ground-deck", areas(picture.decks, frame)], ["ground-pond", areas(picture.streams.areas, frame)],
    ["ground-stream", picture.streams.lines.map((points) => line(points, frame)).join("")],
    ["ground-outline", areas(picture.outline.map((rings) => rings.slice(0, 1)), frame)],
    ["ground-fence", picture.cross_fences.map((points) => line(points, frame)).join("")],
  ].map(([kind, d]) => (d ? `<path class="${kind}" d="${d}"/>` : "")).join("");
  box.innerHTML = `<svg viewBox="0 0 ${size} ${size}" role="img" aria-label="${escaped(words)}" focusable="false">
<defs><clipPath id="ground-clip"><path clip-rule="evenodd" d="${areas(picture.net, frame)}"/></clipPath></defs>
${ring(frame, declination)}<g class="ground-way"><line x1="${size / 2}" x2="${size / 2}" y1="${size / 2 - frame.radius}" y2="${size / 2 + frame.radius}"/><circle cx="${size / 2}" cy="${size / 2 + frame.radius}" r="4.5"/></g>
<path class="ground-paper" d="${areas(picture.outline, frame)}"/>${ground}
<path class="ground-rows" stroke-width="${thick}" d="${rows}"/>
<g clip-path="url(#ground-clip)"><g class="ground-ghost" stroke-width="${thick}" hidden>${ghost(frame, pattern)}</g></g>
${things}${points(picture, frame)}${labels(picture, frame)}${bar(frame)}</svg>`;
  return frame;
}

/** Turn at once what can be turned: the way across the compass, and a hint of the rows until the true ones come. */
export function turnMap(box, frame, heading, { pending }) {
  const about = `rotate(${heading} ${frame.size / 2} ${frame.size / 2})`;
  box.querySelector(".ground-way").setAttribute("transform", about);
  const hint = box.querySelector(".ground-ghost");
  hint.setAttribute("transform", about);
  hint.toggleAttribute("hidden", !pending);
  box.querySelector(".ground-rows").toggleAttribute("hidden", pending);
}

/** Rows as the plan sets them, one set after the other across all of the compass. */
function ghost(frame, { rows_in_set: many, row_gap_ft: gap, alley_ft: alley }) {
  const period = (many - 1) * gap + alley;
  const half = frame.size / 2;
  const reach = frame.reach * frame.scale;
  let d = "";
  for (let set = -Math.ceil(frame.reach / period); set * period < frame.reach; set += 1) {
    for (let row = 0; row < many; row += 1) {
      const x = round(half + (set * period + row * gap) * frame.scale);
      d += `M${x} ${round(half - reach)}V${round(half + reach)}`;
    }
  }
  return `<path d="${d}"/>`;
}

function ring({ size, radius }, declination) {
  const half = size / 2;
  let drawn = `<circle class="ground-ring" cx="${half}" cy="${half}" r="${radius}"/>`;
  for (let degrees = 0; degrees < 360; degrees += 10) {
    const long = degrees % 90 === 0 ? 11 : degrees % 30 === 0 ? 8 : 4;
    drawn += `<path class="ground-tick" d="M${half} ${half - radius}v${long}" transform="rotate(${degrees} ${half} ${half})"/>`;
  }
  for (const [letter, degrees] of [["N", 0], ["E", 90], ["S", 180], ["W", 270]]) {
    const [x, y] = [half + (radius + LETTER_OUT) * Math.sin(radians(degrees)), half - (radius + LETTER_OUT) * Math.cos(radians(degrees))];
    drawn += `<text class="ground-letter${letter === "N" ? " ground-north" : ""}" x="${round(x)}" y="${round(y + 5)}" text-anchor="middle">${letter}</text>`;
  }
  const arrow = `M${half} ${half - radius + 1}l5 14l-5 -3.5l-5 3.5z`;
  drawn += `<path class="ground-arrow" d="${arrow}"/>`;
  if (Number.isFinite(declination) && declination !== 0) drawn += `<path class="ground-needle" d="M${half} ${half - radius}v20" transform="rotate(${declination} ${half} ${half})"><title>Compass north</title></path>`;
  return drawn;
}

function points(picture, frame) {
  const [x, y] = frame.at(picture.start);
  const gates = picture.gates.map((gate) => frame.at(gate)).map(([gx, gy]) => `<rect class="ground-gate" x="${gx - 3.5}" y="${gy - 3.5}" width="7" height="7"/>`);
  const water = picture.water.map(({ at, proposed }) => [frame.at(at), proposed])
    .map(([[wx, wy], proposed]) => `<circle class="ground-trough${proposed ? " proposed" : ""}" cx="${wx}" cy="${wy}" r="4.2"/>`);
  return `${gates.join("")}${water.join("")}<path class="ground-start" d="M${x} ${y}v-13l9 3.2l-9 3.2z"/>`;
}

/** Names at their things; where two would lie over one another, the first is written. */
function labels(picture, frame) {
  const wanted = [
    ...picture.labels.map(({ text, at }) => ({ text, at: frame.at(at) })),
    ...picture.water.filter(({ proposed }) => proposed).map(({ at }) => ({ text: "trough (proposed)", at: frame.at(at) })),
    { text: "start", at: frame.at(picture.start), beside: BELOW },
  ];
  const placed = [];
  let drawn = "";
  for (const { text, at: [x, y], beside = BESIDE } of wanted) {
    const width = text.length * 6.1 + 8;
    const left = Math.min(Math.max(x - width / 2, 2), frame.size - width - 2);
    const spot = beside.map((down) => ({ left, top: y + down - 8, width, height: 15 })).find((each) => placed.every((other) => apart(each, other)));
    if (!spot) continue;
    placed.push(spot);
    drawn += `<rect class="ground-tag" x="${round(spot.left)}" y="${round(spot.top)}" width="${round(width)}" height="15" rx="3"/><text class="mark ground-name" x="${round(spot.left + width / 2)}" y="${round(spot.top + 11.4)}" text-anchor="middle">${escaped(text)}</text>`;
  }
  return drawn;
}

const apart = (one, other) => one.left + one.width < other.left || other.left + other.width < one.left || one.top + one.height < other.top || other.top + other.height < one.top;

/** A length that can be compared with the field. */
function bar({ size, scale }) {
  const [nice, unit, feet] = isMetric() ? [NICE_M, "m", FEET_PER_METRE] : [NICE_FT, "ft", 1];
  const length = nice.filter((each) => each * feet * scale <= size * 0.22).at(-1) ?? nice[0];
  const wide = round(length * feet * scale);
  return `<g class="ground-bar" transform="translate(8 ${size - 10})"><path class="scale-line" d="M0-5v5h${wide}v-5"/><text class="mark" x="${wide / 2}" y="-8" text-anchor="middle">${length.toLocaleString("en-US")} ${unit}</text></g>`;
}
