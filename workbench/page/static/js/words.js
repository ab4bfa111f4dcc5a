// Amounts and counts as a person says them.

const grouped = new Intl.NumberFormat("en-US", { maximumFractionDigits: 0 });

/** An amount as said aloud: $38, $160, $2,100, never $163.27. */
export function dollars(amount, { yearly = false, sign = false } = {}) {
  if (!Number.isFinite(amount)) return "–";
  const size = Math.abs(amount);
  const step = yearly || size < 100 ? 1 : size < 1000 ? 10 : 10 ** (Math.floor(Math.log10(size)) - 1);
  const rounded = Math.round(size / step) * step;
  const before = rounded === 0 ? "" : amount < 0 ? "−" : sign ? "+" : "";
  return `${before}$${grouped.format(rounded)}`;
}

/** A share as whole percent. */
export function percent(share, digits = 0) {
  return Number.isFinite(share) ? `${(share * 100).toFixed(digits)} %` : "–";
}

/** A count without decimals once it is large, with one while it is small. */
export function count(value, digits = null) {
  if (!Number.isFinite(value)) return "–";
  const places = digits ?? (Math.abs(value) < 9.95 ? 1 : 0);
  return new Intl.NumberFormat("en-US", { maximumFractionDigits: places }).format(value);
}

export function capital(text) {
  return text ? text[0].toUpperCase() + text.slice(1) : text;
}

/** one, two and three */
export function listed(parts) {
  return parts.length < 2 ? parts.join("") : `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`;
}

/** About 40 s, about 3 min. */
export function duration(seconds) {
  if (!Number.isFinite(seconds)) return "";
  if (seconds < 10) return "a few seconds";
  if (seconds < 90) return `about ${Math.round(seconds / 10) * 10} s`;
  return `about ${Math.round(seconds / 60)} min`;
}

export const PRODUCTS = { pulpwood: "pulpwood", chip_and_saw: "chip-and-saw", sawtimber: "sawtimber", pole: "poles" };
export const ENTERPRISES = {
  wood: "wood", hay: "hay", grazing: "grazing", straw: "pine straw", nuts: "nuts", land: "tax and administration",
};
export const SYSTEM_ORDER = ["silvopasture", "plantation", "pasture", "open_later", "kept_up"];
export const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
