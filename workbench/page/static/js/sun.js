// The sun's path in the plane of the picture, which looks along the rows.

const RADIANS = Math.PI / 180;

/** Where the sun stands across the rows and up, as shares of a circle around the middle of the alley. */
function acrossAndUp({ altitude_deg: altitude, azimuth_deg: azimuth }, rowAzimuth) {
  return [Math.cos(altitude * RADIANS) * Math.sin((azimuth - rowAzimuth) * RADIANS), Math.sin(altitude * RADIANS)];
}

const spoken = (hour) => (hour === 12 ? "noon" : hour < 12 ? `${hour} am` : `${hour - 12} pm`);

/** A smooth line through points, each bend led by its neighbours. */
function smooth(points) {
  const at = (place) => points[Math.min(Math.max(place, 0), points.length - 1)];
  return points.slice(1).reduce((path, [x, y], before) => {
    const [[ax, ay], [bx, by], [dx, dy]] = [at(before - 1), at(before), at(before + 2)];
    const lead = [bx + (x - ax) / 6, by + (y - ay) / 6, x - (dx - bx) / 6, y - (dy - by) / 6].map((value) => value.toFixed(1));
    return `${path}C${lead.join(" ")} ${x} ${y}`;
  }, `M${points[0].join(" ")}`);
}

/** The path as SVG in picture points; `place` turns feet into points. */
export function sunPath(month, rowAzimuth, { middle, radius, place, inward }) {
  if (!month) return "";
  const hours = month.hour.map((hour, at) => ({ hour, altitude_deg: month.altitude_deg[at], azimuth_deg: month.azimuth_deg[at] }));
  const spot = (hour) => {
    const [across, up] = acrossAndUp(hour, rowAzimuth);
    return place(middle + across * radius, up * radius).map((value) => value.toFixed(1));
  };
  const line = `<path class="sun-path" d="${smooth(hours.map((hour) => spot(hour).map(Number)))}"/>`;
  const whole = hours.filter(({ hour, altitude_deg: altitude }) => Number.isInteger(hour) && hour % 2 === 0 && altitude > 4);
  const apart = [];
  const marks = whole.map((hour) => {
    const [x, y] = spot(hour);
    if (hour.hour === 12) return `<circle class="sun" cx="${x}" cy="${y}" r="9"/>`;
    const near = apart.some(([ox, oy]) => Math.hypot(ox - x, oy - y) < 34);
    if (!near) apart.push([x, y]);
    const side = (acrossAndUp(hour, rowAzimuth)[0] >= 0 ? 1 : -1) * (inward ? -1 : 1);
    const word = near ? "" : `<text class="sun-word" x="${Number(x) + side * 8}" y="${Number(y) + 4}" text-anchor="${side > 0 ? "start" : "end"}">${spoken(hour.hour)}</text>`;
    return `<circle class="sun-hour" cx="${x}" cy="${y}" r="2.6"/>${word}`;
  });
  return line + marks.join("");
}
