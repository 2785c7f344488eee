// The plan of the building: storeys to choose, walls to follow, rooms to pick, move and turn.
import { settle } from "./conflict.js";
import { ask, fill, pageData, Refused, say, word } from "./net.js";
import { Viewer } from "./viewer.js";

/** @typedef {{x: number, y: number, turn: number}} Place */
/** @typedef {{id: string, name: string, flat: string, x: number, y: number, turn: number, given: boolean, area: string, basis: string, missed: string, box: number[]}} Room */
/** @typedef {{name: string, drawing: string, rooms: Room[], clashes: string[][], left_out: string[]}} Storey */

const page = pageData();
const { words } = page;
const element = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const viewer = new Viewer(element("plan"));
const move = /** @type {HTMLButtonElement} */ (element("move"));
const STEP_MM = 50;
const FINE_MM = 10;
const SNAP_PX = 9;
const WORDS_PX = 13;
const VIEW_KEY = "innerleaf-building-view";

/** @type {{revision: number, storeys: Storey[]}} */
let plan = page.plan;
let storey = plan.storeys[0]?.name ?? "";
let picked = "";
const done = /** @type {number[]} */ ([]);
const undone = /** @type {number[]} */ ([]);
let queue = Promise.resolve();

/** @returns {Room[]} */
const rooms = () => plan.storeys.find((one) => one.name === storey)?.rooms ?? [];
const roomOf = (/** @type {string} */ id) => rooms().find((one) => one.id === id);
const moving = () => move.getAttribute("aria-pressed") === "true";

/** @param {() => Promise<void>} work */
function inTurn(work) {
  queue = queue.then(async () => {
    viewer.place.classList.add("wait");
    try {
      await work();
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      say(refused.answer.faults?.length ? refused.answer.faults.join("\n") : refused.message, true);
      show();
    } finally {
      viewer.place.classList.remove("wait");
    }
  });
  return queue;
}

/**
 * Save where a room lies. The first time the rooms planned with it keep the places they are seen at, so that
 * none of them jumps.
 * @param {Room} room @param {Place | null} place
 */
function save(room, place) {
  /** @type {Record<string, Place | null>} */
  const places = {};
  if (place) {
    for (const other of rooms()) {
      if (other.flat === room.flat && !other.given) places[other.id] = { x: other.x, y: other.y, turn: other.turn };
    }
  }
  places[room.id] = place;
  return inTurn(() => saveOn(plan.revision, places));
}

/** @param {number} base @param {Record<string, Place | null>} places */
async function saveOn(base, places) {
  try {
    plan = await ask("PUT", `/api/jobs/${page.job}/places`, { base, places });
    if (plan.revision !== base) {
      done.push(base);
      undone.length = 0;
    }
    show();
    say(word("saved", { number: plan.revision }));
  } catch (refused) {
    if (!(refused instanceof Refused) || refused.status !== 409) throw refused;
    if (await settle(refused.answer)) await saveOn(refused.answer.newest.revision, places);
    else await fetchPlan();
  }
}

async function fetchPlan() {
  plan = await ask("GET", `/api/jobs/${page.job}/plan`);
  show();
}

/** @param {number[]} from @param {number[]} to @param {string} said */
function goBack(from, to, said) {
  return inTurn(async () => {
    const number = from.pop();
    if (number === undefined) return say(word("nothing"));
    const before = plan.revision;
    await ask("POST", `/api/jobs/${page.job}/restore`, { number });
    to.push(before);
    await fetchPlan();
    say(word(said));
  });
}

/** Colour walls by the state that the list shows. */
function colour() {
  for (const wall of viewer.place.querySelectorAll("a.wall")) {
    const id = /** @type {SVGAElement} */ (wall).dataset.of ?? "";
    const item = document.querySelector(`#list-view [data-wall="${CSS.escape(id)}"]`);
    const state = ["ready", "findings", "choose"].find((one) => item?.classList.contains(one)) ?? "waiting";
    wall.classList.remove("ready", "findings", "choose", "waiting");
    wall.classList.add(state);
    wall.querySelector(".line")?.setAttribute("fill", state === "waiting" ? "none" : `url(#hatch-${state})`);
  }
}

/** Words keep their size on the screen, whatever the zoom, and go where they have no room. */
function fitWords() {
  const svg = viewer.svg;
  const matrix = svg?.getScreenCTM();
  if (!svg || !matrix) return;
  svg.setAttribute("font-size", String(WORDS_PX / matrix.a));
  for (const group of svg.querySelectorAll(".room")) {
    const floor = /** @type {SVGPathElement} */ (group.querySelector(".floor")).getBBox();
    const text = /** @type {SVGTextElement} */ (group.querySelector(".words"));
    text.classList.remove("brief", "gone");
    const free = floor.width - 3.4 * (WORDS_PX / matrix.a); // beside upright marks
    if (text.getBBox().width > free) text.classList.add("brief");
    if (text.getBBox().width > floor.width) text.classList.add("gone");
    for (const wall of group.querySelectorAll("a.wall")) {
      const mark = /** @type {SVGTextElement} */ (wall.querySelector(".mark"));
      const line = /** @type {SVGPathElement} */ (wall.querySelector(".grip")).getBBox();
      mark.classList.toggle("gone", mark.getBBox().width > 0.8 * Math.max(line.width, line.height) || Math.min(floor.width, floor.height) < 6 * (WORDS_PX / matrix.a));
    }
  }
}

function show() {
  viewer.take(Object.fromEntries(plan.storeys.map((one) => [one.name, one.drawing])));
  if (viewer.view !== storey) viewer.show(storey);
  const svg = viewer.svg;
  if (svg) new MutationObserver(fitWords).observe(svg, { attributes: true, attributeFilter: ["viewBox"] });
  colour();
  fitWords();
  pick(picked);
  const now = plan.storeys.find((one) => one.name === storey);
  const notes = (now?.clashes ?? []).map(([one, other]) => fill(words.clash, { one, other }));
  if (now?.left_out.length) notes.push(fill(words.left_out, { walls: now.left_out.join(", ") }));
  element("plan-notes").replaceChildren(...notes.map((text) => made("li", { textContent: text })));
  /** @type {HTMLButtonElement} */ (element("undo")).disabled = !done.length;
  /** @type {HTMLButtonElement} */ (element("redo")).disabled = !undone.length;
}

/** @param {string} name @param {Record<string, any>} [properties] @param {(Node | string)[]} [inside] */
function made(name, properties = {}, inside = []) {
  const one = Object.assign(document.createElement(name), properties);
  one.append(...inside);
  return one;
}

/** Show what is known of a room. @param {string} id */
function pick(id) {
  const room = roomOf(id);
  picked = room ? id : "";
  for (const group of viewer.place.querySelectorAll(".room")) group.classList.toggle("picked", /** @type {SVGGElement} */ (group).dataset.room === picked);
  const place = element("about-room");
  if (!room) return place.replaceChildren(made("p", { className: "hint", textContent: words.pick }));
  const basis = { measured: words.measured, "sketch: not measured": words.sketch }[room.basis] ?? words.walls;
  const facts = [fill(words.area, { area: room.area }), basis];
  if (room.missed) facts.push(fill(words.missed, { miss: room.missed }));
  if (!room.given) facts.push(words.put);
  if (room.flat) facts.push(words.flat);
  const look = made("a", { href: `/jobs/${page.job}/rooms/${encodeURIComponent(room.id)}/look`, textContent: words.look, className: "button" });
  place.replaceChildren(made("h2", { textContent: room.name }), ...facts.map((text) => made("p", { textContent: text })), made("p", {}, [look]), fields(room));
}

/** @param {Room} room */
function fields(room) {
  const place = made("div", { className: "edits place" });
  for (const name of /** @type {("x" | "y" | "turn")[]} */ (["x", "y", "turn"])) {
    const id = `place-${name}`;
    const input = /** @type {HTMLInputElement} */ (made("input", { id, type: "number", inputMode: "numeric", step: name === "turn" ? "any" : "1", value: room[name] }));
    input.addEventListener("change", () => {
      if (input.value !== "") save(room, { x: room.x, y: room.y, turn: room.turn, [name]: Number(input.value) });
    });
    place.append(made("label", { htmlFor: id, textContent: words[name] }), input);
  }
  const turns = /** @type {[string, number][]} */ ([[words.left, -90], [words.right, 90]]);
  const buttons = turns.map(([text, by]) => {
    const button = made("button", { type: "button", className: "plain", textContent: text });
    button.addEventListener("click", () => turn(room, by));
    return button;
  });
  if (room.given) {
    const away = made("button", { type: "button", className: "plain", textContent: words.away });
    away.addEventListener("click", () => save(room, null));
    buttons.push(away);
  }
  place.append(made("p", { className: "buttons" }, buttons));
  return place;
}

/** Turn a room about the middle of the rectangle round it. @param {Room} room @param {number} by */
function turn(room, by) {
  const [left, low, right, high] = room.box;
  const corner = cornerOf(room);
  const [mx, my] = [(left + right) / 2, (low + high) / 2];
  const [dx, dy] = [corner.x - mx, corner.y - my];
  const [c, s] = [Math.cos((by * Math.PI) / 180), Math.sin((by * Math.PI) / 180)];
  const to = { x: Math.round(mx + dx * c + dy * s), y: Math.round(my - dx * s + dy * c) };
  return save(room, { x: room.x + to.x - corner.x, y: room.y + to.y - corner.y, turn: (room.turn + by + 360) % 360 });
}

/** The room's first corner as drawn. @param {Room} room */
function cornerOf(room) {
  const path = /** @type {SVGPathElement} */ (groupOf(room.id)?.querySelector(".floor"));
  const [x, y] = (path?.getAttribute("d") ?? "M0 0").slice(1).split(/[L\sz]/).map(Number);
  const svg = viewer.svg;
  const scale = Number(svg?.dataset.scale);
  return { x: Math.round((x - Number(svg?.dataset.left)) * scale), y: Math.round((Number(svg?.dataset.floor) - y) * scale) };
}

/** @param {string} id @returns {SVGGElement | null} */
function groupOf(id) {
  return viewer.place.querySelector(`.room[data-room="${CSS.escape(id)}"]`);
}

/** Near another room's edge a moved room lies flush with it. @param {Room} room @param {number} dx @param {number} dy @param {number} reach */
function snapped(room, dx, dy, reach) {
  const best = { x: reach, y: reach, dx, dy };
  for (const other of rooms()) {
    if (other.id === room.id) continue;
    for (const [mine, theirs] of [[0, 0], [2, 2], [0, 2], [2, 0]]) {
      const x = other.box[theirs] - room.box[mine] - dx;
      if (Math.abs(x) < Math.abs(best.x)) Object.assign(best, { x, dx: dx + x });
      const y = other.box[theirs + 1] - room.box[mine + 1] - dy;
      if (Math.abs(y) < Math.abs(best.y)) Object.assign(best, { y, dy: dy + y });
    }
  }
  return best;
}

/** @type {{room: Room, from: {x: number, y: number}, dx: number, dy: number} | null} */
let held = null;
let wasDragged = false;
let saving = 0;

/** Show a room at where it would be. @param {Room} room @param {number} dx @param {number} dy */
function shift(room, dx, dy) {
  const scale = Number(viewer.svg?.dataset.scale);
  groupOf(room.id)?.setAttribute("transform", `translate(${dx / scale} ${-dy / scale})`);
}

viewer.place.addEventListener("pointerdown", (event) => {
  const target = event.target instanceof Element ? event.target : null;
  const group = /** @type {SVGGElement | null} */ (target?.closest(".room") ?? null);
  const room = group && roomOf(group.dataset.room ?? "");
  wasDragged = false;
  if (!room || !moving() || event.button || !event.isPrimary) return;
  event.preventDefault(); // the paper stays where it is
  pick(room.id);
  viewer.place.setPointerCapture(event.pointerId);
  held = { room, from: viewer.onWall(event.clientX, event.clientY), dx: 0, dy: 0 };
}, true);

viewer.place.addEventListener("pointermove", (event) => {
  if (!held) return;
  event.preventDefault();
  const at = viewer.onWall(event.clientX, event.clientY);
  const step = event.shiftKey ? 1 : FINE_MM;
  const [dx, dy] = [at.x - held.from.x, at.y - held.from.y].map((by) => Math.round(by / step) * step);
  const reach = (SNAP_PX / (viewer.svg?.getScreenCTM()?.a ?? 1)) * Number(viewer.svg?.dataset.scale);
  const to = event.shiftKey ? { dx, dy } : snapped(held.room, dx, dy, reach);
  Object.assign(held, { dx: Math.round(to.dx), dy: Math.round(to.dy) });
  wasDragged = true;
  shift(held.room, held.dx, held.dy);
}, true);

for (const name of ["pointerup", "pointercancel"]) {
  viewer.place.addEventListener(name, () => {
    if (!held) return;
    const { room, dx, dy } = held;
    held = null;
    if (name === "pointercancel") shift(room, 0, 0);
    else if (dx || dy) save(room, { x: room.x + dx, y: room.y + dy, turn: room.turn });
  }, true);
}

viewer.place.addEventListener("click", (event) => {
  const target = event.target instanceof Element ? event.target : null;
  if (moving() && target?.closest("a.wall")) event.preventDefault(); // what was dragged is not followed
  const group = /** @type {SVGGElement | null} */ (target?.closest(".room") ?? null);
  if (group && !wasDragged) pick(group.dataset.room ?? "");
});

/** Moves by keys are gathered and saved once the keys rest. @type {{room: Room, dx: number, dy: number} | null} */
let keyed = null;

viewer.place.addEventListener("keydown", (event) => {
  const floor = event.target instanceof Element ? event.target.closest(".floor") : null;
  const group = /** @type {SVGGElement | null} */ (floor?.closest(".room") ?? null);
  const room = group && roomOf(group.dataset.room ?? "");
  if (!room || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    return pick(room.id);
  }
  if (!moving()) return;
  const key = event.key.toLowerCase();
  const step = event.shiftKey ? FINE_MM : STEP_MM;
  const by = { arrowleft: [-step, 0], arrowright: [step, 0], arrowup: [0, step], arrowdown: [0, -step] }[key];
  if (key === "r" || key === "l") {
    event.preventDefault();
    turn(room, key === "r" ? 90 : -90).then(() => focusOn(room.id));
  } else if (by) {
    event.preventDefault();
    event.stopImmediatePropagation(); // the paper stays where it is
    keyed = keyed?.room.id === room.id ? keyed : { room, dx: 0, dy: 0 };
    keyed.dx += by[0];
    keyed.dy += by[1];
    shift(room, keyed.dx, keyed.dy);
    clearTimeout(saving);
    saving = window.setTimeout(saveKeyed, 500);
  }
}, true);

function saveKeyed() {
  if (!keyed) return;
  const { room, dx, dy } = keyed;
  keyed = null;
  if (dx || dy) save(room, { x: room.x + dx, y: room.y + dy, turn: room.turn }).then(() => focusOn(room.id));
}

/** @param {string} id */
function focusOn(id) {
  /** @type {SVGPathElement | null | undefined} */ (groupOf(id)?.querySelector(".floor"))?.focus({ preventScroll: true });
}

/** The card of a wall: what the list says of it. @param {Element | null} wall */
function showCard(wall) {
  const card = element("card");
  const id = wall instanceof SVGAElement ? wall.dataset.of ?? "" : "";
  const item = document.querySelector(`#list-view [data-wall="${CSS.escape(id)}"]`);
  card.hidden = !item || Boolean(held);
  if (!item || !wall) return;
  card.className = item.className;
  card.replaceChildren(...[.../** @type {Element} */ (item.firstElementChild).childNodes].map((one) => one.cloneNode(true)));
  const box = wall.getBoundingClientRect();
  const around = /** @type {HTMLElement} */ (card.offsetParent ?? document.body).getBoundingClientRect();
  const left = Math.min(Math.max(box.left + box.width / 2 - card.offsetWidth / 2, 8), innerWidth - card.offsetWidth - 8);
  const below = box.bottom + 10 + card.offsetHeight < innerHeight;
  card.style.left = `${left - around.left}px`;
  card.style.top = `${(below ? box.bottom + 10 : box.top - card.offsetHeight - 10) - around.top}px`;
}

viewer.place.addEventListener("pointerover", (event) => {
  if (event.pointerType !== "touch") showCard(event.target instanceof Element ? event.target.closest("a.wall") : null);
});
viewer.place.addEventListener("pointerleave", () => showCard(null));
viewer.place.addEventListener("focusin", (event) => showCard(event.target instanceof Element ? event.target.closest("a.wall") : null));
viewer.place.addEventListener("focusout", () => showCard(null));

/** @param {string} view */
function choose(view) {
  element("plan-view").hidden = view !== "plan";
  element("list-view").hidden = view === "plan";
  localStorage.setItem(VIEW_KEY, view);
  if (view === "plan") fitWords();
}

for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("#shown input"))) {
  input.checked = input.value === (localStorage.getItem(VIEW_KEY) ?? "plan");
  input.addEventListener("change", () => choose(input.value));
}
for (const input of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("#storeys input"))) {
  input.addEventListener("change", () => {
    storey = input.value;
    picked = "";
    viewer.box = null;
    show();
  });
}
move.addEventListener("click", () => {
  move.setAttribute("aria-pressed", String(!moving()));
  viewer.place.classList.toggle("moving", moving());
});
element("closer").addEventListener("click", () => viewer.zoom(1.4));
element("farther").addEventListener("click", () => viewer.zoom(1 / 1.4));
element("whole").addEventListener("click", () => viewer.whole());
element("undo").addEventListener("click", () => goBack(done, undone, "undone"));
element("redo").addEventListener("click", () => goBack(undone, done, "redone"));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || event.target instanceof HTMLInputElement) return;
  event.preventDefault();
  if (event.shiftKey) goBack(undone, done, "redone");
  else goBack(done, undone, "undone");
});
new MutationObserver(colour).observe(element("list-view"), { subtree: true, attributes: true, attributeFilter: ["class"] });
new ResizeObserver(fitWords).observe(viewer.place);
document.fonts.ready.then(fitWords);
show();
choose(localStorage.getItem(VIEW_KEY) ?? "plan");
