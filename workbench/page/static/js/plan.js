// A plan as nested data, read and changed by dotted paths; a change gives a new plan.

export function get(plan, path) {
  let place = plan;
  for (const part of path.split(".")) {
    if (place === null || place === undefined) return undefined;
    place = place[part];
  }
  return place;
}

/** The plan with one value changed; undefined takes the value out. */
export function changed(plan, path, value) {
  const [first, ...rest] = path.split(".");
  const copy = Array.isArray(plan) ? [...plan] : { ...(plan ?? {}) };
  if (rest.length) {
    const next = copy[first] ?? (/^\d+$/.test(rest[0]) ? [] : {});
    copy[first] = changed(next, rest.join("."), value);
  } else if (value === undefined) {
    if (Array.isArray(copy)) copy.splice(Number(first), 1);
    else delete copy[first];
  } else copy[first] = value;
  return copy;
}

const isTable = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

/** Dotted paths and values in which a plan differs from another; null marks what was taken out. */
export function differences(from, to, before = "") {
  const found = [];
  for (const key of new Set([...Object.keys(from ?? {}), ...Object.keys(to ?? {})])) {
    const [was, is, path] = [from?.[key], to?.[key], before + key];
    if (same(was, is)) continue;
    const alike = Array.isArray(was) && Array.isArray(is) && was.length === is.length;
    if ((isTable(was) && isTable(is)) || alike) found.push(...differences(was, is, `${path}.`));
    else found.push([path, is === undefined ? null : is]);
  }
  return found;
}

export function withDifferences(plan, pairs) {
  return pairs.reduce((result, [path, value]) => changed(result, path, value === null ? undefined : value), plan);
}

export function samePlan(one, other) {
  return differences(one, other).length === 0;
}
