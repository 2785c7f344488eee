// What a record is and how a value is judged: the same as on the server, without asking it.

/** @typedef {{name: string, value: number, limit: number, unit: string, at_most: boolean}} Judged */
/**
 * @typedef {{id: string, device: string, sequence: number, before: string, seen: string, device_time: string,
 *   name: string, kind: string, wall: string, mark: string, what: string, values: Record<string, number>,
 *   judged: Judged[], outcome: string, text: string, photos: string[], about: string}} Entry
 */
/**
 * @typedef {{name: string, text: string, unit: string, at_most: boolean, limit: number, over: string,
 *   over_text: string, over_unit: string, xs: number[], ys: number[], stepped: boolean, by_humidity: boolean,
 *   source: string}} Ask
 */
/** @typedef {{check: string, text: string, how: string, step: string, asks: Ask[]}} Check */
/** @typedef {{id: string, text: string, before: string, passes: string[], may_release: string[]}} Hold */
/** @typedef {{entry: Entry, role: string, who: string, number: number, waits: boolean}} Told */
/** @typedef {{name: string, hold: Hold | null, state: "done" | "open" | "blocked" | "later", why: string, by: Told | null}} Step */

const DAMPEST = 99;

/** The one text of a document: keys sorted, no spaces. @param {any} value @returns {string} */
export function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (value && typeof value === "object") {
    return `{${Object.keys(value).sort().map((key) => `${JSON.stringify(key)}:${canonical(value[key])}`).join(",")}}`;
  }
  return JSON.stringify(typeof value === "number" ? short(value) : value);
}

/** SHA-256 of a text or of bytes, in hexadecimal. @param {string | ArrayBuffer} what */
export async function digest(what) {
  const bytes = typeof what === "string" ? new TextEncoder().encode(what) : what;
  const made = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(made, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** A number with three decimals at most. @param {number} value */
export function short(value) {
  return Math.round(value * 1000) / 1000;
}

/** The limit that holds with the other values. @param {Ask} ask @param {Record<string, number>} values */
export function limitFor(ask, values) {
  if (!ask.over) return ask.limit;
  const found = readOff(ask, values[ask.over]);
  if (!ask.by_humidity) return found;
  return Math.ceil((10 * found) / (1 - Math.min(values.humidity_percent, DAMPEST) / 100)) / 10;
}

/** @param {Ask} ask @param {number} x */
function readOff(ask, x) {
  const { xs, ys } = ask;
  const at = xs.findIndex((each) => each >= x);
  if (at < 0) return ys[ys.length - 1];
  if (at === 0 || ask.stepped || xs[at] === x) return ys[at];
  const y = ys[at - 1] + ((ys[at] - ys[at - 1]) * (x - xs[at - 1])) / (xs[at] - xs[at - 1]);
  return ask.by_humidity ? y : Math.floor(y + 0.5);
}

/** Names of all values that a check asks for. @param {Check} check */
export function asked(check) {
  return [...new Set(check.asks.flatMap((ask) => [ask.name, ask.over].filter(Boolean)))];
}

/** Values against their limits; null while one is missing. @param {Check} check @param {Record<string, number>} values @returns {Judged[] | null} */
export function judge(check, values) {
  if (asked(check).some((name) => !Number.isFinite(values[name]))) return null;
  return check.asks.map((ask) => ({
    name: ask.name,
    value: short(values[ask.name]),
    limit: short(limitFor(ask, values)),
    unit: ask.unit,
    at_most: ask.at_most,
  }));
}

/** How far inside its limit a value is; negative when it misses it. @param {Judged} one */
export function margin(one) {
  return short(one.at_most ? one.limit - one.value : one.value - one.limit);
}

/** Records that hold: without those withdrawn. @param {Told[]} told */
export function standing(told) {
  const gone = new Set(told.filter((one) => one.entry.kind === "withdrawn").map((one) => one.entry.about));
  return told.filter((one) => one.entry.kind !== "withdrawn" && !gone.has(one.entry.id));
}

/** Whether a record opens the way past a hold point. @param {Told} one @param {Hold} hold */
export function counts(one, hold) {
  if (one.entry.outcome === "passed") return hold.passes.includes(one.role);
  return one.entry.outcome === "released" && hold.may_release.includes(one.role) && one.entry.text.trim() !== "";
}

/**
 * The steps of a wall with the hold points before them, and how each stands.
 * @param {string} wall @param {string[]} steps @param {Hold[]} holds @param {Told[]} told @returns {Step[]}
 */
export function wayOf(wall, steps, holds, told) {
  const own = standing(told).filter((one) => one.entry.wall === wall);
  /** @type {Step[]} */
  const way = [];
  let held = "";
  let missing = "";
  for (const step of steps) {
    for (const hold of holds.filter((one) => one.before === step)) {
      const last = own.findLast((one) => one.entry.kind === "hold" && one.entry.what === hold.id) ?? null;
      const good = last !== null && counts(last, hold);
      way.push({ name: hold.id, hold, state: good ? "done" : missing ? "later" : "open", why: missing, by: last });
      if (!good) held ||= hold.id;
    }
    const by = own.find((one) => one.entry.kind === "done" && one.entry.what === step && !one.entry.mark) ?? null;
    const state = by ? "done" : held ? "blocked" : missing ? "later" : "open";
    way.push({ name: step, hold: null, state, why: by ? "" : held || missing, by });
    if (!by) missing ||= step;
  }
  return way;
}
