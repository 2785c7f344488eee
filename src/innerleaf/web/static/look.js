// A room to look at from any side: pieces in layers to switch, pulled apart, before and after.
import { ask, pageData, Refused, say } from "./net.js";
import { Space } from "./space.js";

/** @typedef {import("./space.js").Colour} Colour */
/** @typedef {import("./space.js").Part} Part */
/** @typedef {{name: string, step: number, solids: number[], edges: number[][], points: number[]}} Layer */
/** @typedef {{id: string, origin: number[], along: number[], layers: Layer[]}} Wall */

const page = pageData();
const element = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const canvas = /** @type {HTMLCanvasElement} */ (element("space"));
const slider = /** @type {HTMLInputElement} */ (element("apart"));
const APART_MM = 450;
const SCREW_MM = 4.5;
const HIDDEN_FIRST = ["screws"];

/** @type {Space | null} */
let space = null;
let asked = 0;

function redraw() {
  if (asked) return;
  asked = requestAnimationFrame(() => {
    asked = 0;
    space?.draw();
  });
}

/** The colour of a name of the palette. @param {string} name @returns {Colour} */
function ofPage(name) {
  const text = getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  const digits = text.length === 4 ? [...text.slice(1)].map((one) => one + one) : text.slice(1).match(/../g) ?? [];
  const [r, g, b] = digits.map((one) => parseInt(one, 16) / 255);
  return [r || 0, g || 0, b || 0];
}

/** @param {Colour} a @param {Colour} b @param {number} part of b @returns {Colour} */
function mixed(a, b, part) {
  return /** @type {Colour} */ (a.map((one, at) => one * (1 - part) + b[at] * part));
}

/** Colours by layer, of the palette; pieces stay light on a dark page. @returns {(name: string) => Colour} */
function palette() {
  const dark = document.documentElement.classList.contains("dark");
  const paper = dark ? ofPage("--ink") : ofPage("--paper");
  const ink = dark ? ofPage("--ground") : ofPage("--ink");
  const [press, mark, choose] = ["--press", "--mark", "--choose"].map(ofPage);
  /** @type {Record<string, Colour>} */
  const known = {
    old: mixed(mixed(paper, choose, 0.16), ink, 0.2),
    windows: mixed(paper, press, dark ? 0.5 : 0.3),
    doors: mixed(paper, choose, dark ? 0.6 : 0.5),
    insulation: mixed(paper, choose, dark ? 0.75 : 0.42),
    brackets: mixed(paper, mark, 0.85),
    frame: mixed(paper, ink, dark ? 0.42 : 0.5),
    screws: ink,
    floor: mixed(mixed(paper, choose, 0.1), ink, 0.08),
    lost: mixed(paper, mark, 0.75),
    ink,
  };
  return (name) => known[name] ?? mixed(paper, press, name.endsWith("1") ? 0.2 : 0.04);
}

/** The solids of a layer; a screw is a small one. @param {Wall} wall @param {Layer} layer */
function solidsOf(wall, layer) {
  const base = { origin: wall.origin, along: wall.along };
  const found = [];
  for (let at = 0; at < layer.solids.length; at += 8) found.push({ base, sizes: layer.solids.slice(at, at + 8) });
  for (let at = 0; at < layer.points.length; at += 3) {
    const [x, y, depth] = layer.points.slice(at, at + 3);
    const [left, right, low, high] = [x - SCREW_MM, x + SCREW_MM, y - SCREW_MM, y + SCREW_MM];
    found.push({ base, sizes: [left, right, low, low, high, high, depth, depth + 2] });
  }
  return found;
}

/** @param {any} look @param {Space} into */
function build(look, into) {
  const colours = palette();
  /** @type {Map<string, Part>} */
  const parts = new Map();
  for (const wall of /** @type {Wall[]} */ (look.walls)) {
    for (const layer of wall.layers) {
      const part = parts.get(layer.name) ?? { step: layer.step, colour: colours(layer.name), solids: [], edges: [] };
      part.step = layer.step;
      part.solids.push(...solidsOf(wall, layer));
      part.edges.push(...layer.edges.map((ring) => ({ base: { origin: wall.origin, along: wall.along }, ring })));
      parts.set(layer.name, part);
    }
  }
  const onPlan = { origin: [0, 0], along: [1, 0] };
  const floor = (/** @type {number[]} */ solids) => solidsOf({ id: "", ...onPlan, layers: [] }, { name: "", step: 0, solids, edges: [], points: [] });
  parts.set("lost", { step: 0, colour: colours("lost"), flat: true, solids: floor(look.floor_before), edges: [{ base: onPlan, ring: [-8, ...look.before] }] });
  parts.set("floor", { step: 0, colour: colours("floor"), flat: true, solids: floor(look.floor_after), edges: [{ base: onPlan, ring: [0, ...look.after] }] });
  parts.set("floor-before", { step: 0, colour: colours("floor"), flat: true, solids: floor(look.floor_before), edges: [{ base: onPlan, ring: [-8, ...look.before] }] });
  for (const [name, part] of parts) into.put(name, part);
  into.ink = colours("ink");
  for (const swatch of document.querySelectorAll("#layers .swatch")) {
    const name = /** @type {HTMLElement} */ (swatch).dataset.layer ?? "";
    /** @type {HTMLElement} */ (swatch).style.background = `rgb(${colours(name).map((one) => Math.round(one * 255)).join(" ")})`;
  }
}

/** What is shown: the switched layers, or the room as it was. */
function choose() {
  if (!space) return;
  const before = /** @type {HTMLInputElement} */ (element("before")).checked;
  space.shown.clear();
  if (before) for (const name of ["old", "windows", "doors", "floor-before"]) space.shown.add(name);
  else {
    for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("#layers input"))) if (input.checked) space.shown.add(input.value);
    space.shown.add("floor");
    if (!space.shown.has("lost")) space.shown.add("floor-before");
  }
  /** @type {HTMLFieldSetElement} */ (element("layers")).disabled = before;
  slider.disabled = before;
  space.apart = before ? 0 : (Number(slider.value) / 100) * APART_MM;
  space.hides = /** @type {HTMLInputElement} */ (element("hides")).checked;
  redraw();
}

/** @param {any} look */
function wholeRoom(look) {
  if (!space) return;
  const xs = look.before.filter((/** @type {number} */ _one, /** @type {number} */ at) => at % 2 === 0);
  const ys = look.before.filter((/** @type {number} */ _one, /** @type {number} */ at) => at % 2 === 1);
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  space.middle = [(left + right) / 2, look.height * 0.36, -(low + high) / 2];
  const size = Math.hypot(right - left, high - low, look.height) / 1000;
  const narrow = Math.max(1, 1.15 / Math.max(0.3, canvas.clientWidth / Math.max(1, canvas.clientHeight)));
  space.eye = { turn: 0.55, rise: 0.62, away: size * 1.5 * narrow };
  redraw();
}

/** Turning and coming nearer: by pointer, by fingers, by keys. @param {any} look */
function letTurn(look) {
  /** @type {Map<number, {x: number, y: number}>} */
  const fingers = new Map();
  const turn = (/** @type {number} */ by, /** @type {number} */ up) => {
    if (!space) return;
    space.eye.turn += by;
    space.eye.rise = Math.min(1.5, Math.max(-0.2, space.eye.rise + up));
    redraw();
  };
  const nearer = (/** @type {number} */ by) => {
    if (!space) return;
    space.eye.away = Math.min(80, Math.max(1, space.eye.away / by));
    redraw();
  };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
    if (other) {
      const apart = (/** @type {{x: number, y: number}} */ one) => Math.hypot(one.x - other.x, one.y - other.y);
      nearer(apart({ x: event.clientX, y: event.clientY }) / Math.max(1, apart(before)));
    } else turn((before.x - event.clientX) / 180, (event.clientY - before.y) / 220);
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => fingers.delete(/** @type {PointerEvent} */ (event).pointerId));
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    nearer(Math.exp(-event.deltaY / 600));
  }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, 0.08], ArrowDown: [0, -0.08] }[event.key];
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (by) turn(by[0], by[1]);
    else if (event.key === "+" || event.key === "=") nearer(1.15);
    else if (event.key === "-") nearer(1 / 1.15);
    else if (event.key === "0") wholeRoom(look);
    else return;
    event.preventDefault();
  });
  element("closer").addEventListener("click", () => nearer(1.25));
  element("farther").addEventListener("click", () => nearer(1 / 1.25));
  element("whole").addEventListener("click", () => wholeRoom(look));
}

/** The still picture instead, with the reason. @param {string} why */
function stillInstead(why) {
  space = null;
  document.documentElement.classList.remove("in-space");
  const place = element("why");
  place.textContent = why;
  place.hidden = false;
}

async function start() {
  try {
    space = new Space(canvas);
  } catch (failure) {
    return stillInstead(page.texts.no_webgl);
  }
  canvas.addEventListener("webglcontextlost", (event) => {
    event.preventDefault();
    stillInstead(page.texts.lost_context);
  });
  const look = await ask("GET", `/api/jobs/${page.job}/rooms/${encodeURIComponent(page.room)}/look`);
  document.documentElement.classList.add("in-space");
  build(look, space);
  for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("#layers input"))) input.checked = !HIDDEN_FIRST.includes(input.value);
  for (const input of document.querySelectorAll("#switches input")) input.addEventListener("input", choose);
  letTurn(look);
  wholeRoom(look);
  choose();
  new ResizeObserver(redraw).observe(canvas);
  new MutationObserver(() => {
    if (!space) return;
    build(look, space);
    redraw();
  }).observe(document.documentElement, { attributes: true, attributeFilter: ["class"] });
}

start().catch((refused) => {
  if (!(refused instanceof Refused)) throw refused;
  stillInstead(refused.message);
  say(refused.message, true);
});
