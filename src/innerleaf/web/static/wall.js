// The page of one wall: every change is saved, the wall set out anew and drawn again.
import { settle } from "./conflict.js";
import { Edits } from "./edits.js";
import { letMove } from "./moving.js";
import { ask, fill, pageData, Refused, say, unit, word } from "./net.js";
import { asLength, LIST_OF, readLengths, listFields, listFindings, listPieces, listThings } from "./panels.js";
import { Viewer } from "./viewer.js";

const page = pageData();
const address = `/api/jobs/${page.job}/walls/${encodeURIComponent(page.answer.id)}`;
const element = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const viewer = new Viewer(element("drawing"));

/** The wall as the server has it; what is not saved yet stands in its fields already. */
let answer = page.answer;
answer.drawings = viewer.svg ? { [viewer.view]: viewer.svg } : {};
/** Revisions to go back to, and those gone back from. */
const done = /** @type {number[]} */ ([]);
const undone = /** @type {number[]} */ ([]);
const edits = new Edits((field, value) => saveOn(answer.revision, field, value));

/** @param {Promise<void>} work */
async function watched(work) {
  viewer.place.classList.add("wait");
  try {
    await work;
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    say(refused.answer.faults?.length ? refused.answer.faults.join("\n") : refused.message, true);
    await ask("GET", `${address}?view=${viewer.view}`).then(take).catch(told);
  } finally {
    viewer.place.classList.remove("wait");
  }
}

/** Save one field. @param {string} field @param {any} value */
function save(field, value) {
  if (value === null) delete answer.fields[field];
  else answer.fields[field] = value;
  return watched(edits.put(field, value));
}

/** @param {number} base @param {string} field @param {any} value @returns {Promise<void>} */
async function saveOn(base, field, value) {
  try {
    const saved = await ask("PUT", `${address}/${field}?view=${viewer.view}`, { base, value });
    if (saved.revision !== answer.revision) {
      done.push(answer.revision);
      undone.length = 0;
    }
    await take(saved);
    say(word("saved", { number: saved.revision }));
  } catch (refused) {
    if (!(refused instanceof Refused) || refused.status !== 409) throw refused;
    if (await settle(refused.answer)) await saveOn(refused.answer.newest.revision, field, value);
    else await take(await ask("GET", `${address}?view=${viewer.view}`));
  }
}

/** @param {number[]} from @param {number[]} to @param {string} said */
function goBack(from, to, said) {
  return watched(edits.inTurn(async () => {
    const number = from.pop();
    if (number === undefined) return say(word("nothing"));
    const before = answer.revision;
    await ask("POST", `/api/jobs/${page.job}/restore`, { number });
    to.push(before);
    await take(await ask("GET", `${address}?view=${viewer.view}`));
    say(word(said));
  }));
}

/** @param {import("./moving.js").Move} move */
function moved({ kind, mark, dx, dy }) {
  const list = LIST_OF[kind];
  const items = answer.fields[list] ?? [];
  const number = things(kind).findIndex((piece) => piece.mark === mark);
  const item = items[number];
  if (!item) return;
  const next = { ...item, x: millimetres(item.x) + dx };
  const upright = kind === "opening" ? "sill" : "y";
  if (dy && !(kind === "opening" && things(kind)[number].what === "door")) {
    next[upright] = millimetres(item[upright] ?? things(kind)[number].y_mm) + dy;
  }
  save(list, items.map((/** @type {any} */ other, /** @type {number} */ at) => (at === number ? next : other)));
}

/** A length as the job file writes it, in millimetres. @param {any} written */
function millimetres(written) {
  if (typeof written === "number") return written;
  const parts = /^\s*(-?[\d.]+)\s*(mm|cm|m)?\s*$/.exec(String(written ?? 0));
  return parts ? Number(parts[1]) * { mm: 1, cm: 10, m: 1000 }[/** @type {"mm"|"cm"|"m"} */ (parts[2] ?? "mm")] : 0;
}

/** @param {string} kind @returns {any[]} */
function things(kind) {
  return answer.pieces.filter((/** @type {any} */ piece) => piece.kind === kind);
}

/** @param {string} kind @param {string} mark */
function focusOn(kind, mark) {
  const target = viewer.place.querySelector(`.target[data-kind="${kind}"][data-mark="${CSS.escape(mark)}"]`);
  if (target instanceof SVGElement) target.focus({ preventScroll: true });
}

/** @param {string} kind @param {string} mark */
function pointed(kind, mark) {
  for (const lit of document.querySelectorAll(".picked, .row.lit")) lit.classList.remove("picked", "lit");
  viewer.place.querySelector(`.target[data-kind="${kind}"][data-mark="${CSS.escape(mark)}"]`)?.classList.add("picked");
  const piece = answer.pieces.find((/** @type {any} */ one) => one.kind === kind && one.mark === mark);
  if (!piece) return;
  const number = things(kind).indexOf(piece);
  document.querySelector(`[data-row="${LIST_OF[kind]}.${number}"]`)?.classList.add("lit");
  const size = piece.width_mm ? `${asLength(Math.round(piece.length_mm))} × ${withUnit(piece.width_mm)}` : piece.length_mm ? withUnit(piece.length_mm) : "";
  element("told").textContent = [piece.mark, piece.what, piece.item, size, `x = ${asLength(Math.round(piece.x_mm))}, y = ${asLength(Math.round(piece.y_mm))}`].filter(Boolean).join(" · ");
}

/** @param {any} finding */
async function showFinding(finding) {
  await choose(finding.layer ? `boards-${finding.layer}` : viewer.view);
  viewer.point(finding.x_mm, finding.y_mm);
  viewer.place.focus();
}

/** @param {any} piece */
async function showPiece(piece) {
  await choose(piece.kind === "board" ? `boards-${piece.layer}` : "frame");
  viewer.point(piece.x_mm, piece.y_mm);
  pointed(piece.kind, piece.mark);
}

/** @param {string} view */
async function choose(view) {
  if (!answer.views.includes(view)) return;
  if (!(view in viewer.drawings)) {
    const { revision } = answer;
    const more = await ask("GET", `${address}?number=${revision}&view=${view}`).catch(told);
    if (!more || revision !== answer.revision) return;
    viewer.add(more.drawings);
  }
  viewer.show(view);
  views();
  switches();
}

/** @param {unknown} error */
function told(error) {
  if (!(error instanceof Refused)) throw error;
  say(error.message, true);
}

function views() {
  const place = element("views");
  place.querySelectorAll("label").forEach((label) => label.remove());
  for (const name of answer.views) {
    const layer = name.split("-")[1];
    place.append(option("radio", "view", name, layer ? fill(page.texts.boards, { layer }) : page.texts.frame, name === viewer.view, () => choose(name)));
  }
}

function switches() {
  const place = element("layers");
  place.querySelectorAll("label").forEach((label) => label.remove());
  for (const layer of viewer.layers) {
    const text = page.texts[layer.replaceAll("-", "_")];
    if (text) place.append(option("checkbox", "layer", layer, text, !viewer.hidden.has(layer), (shown) => viewer.layer(layer, shown)));
  }
}

/** @param {number} mm */
function withUnit(mm) {
  return unit === "mm" ? `${Math.round(mm)} mm` : asLength(Math.round(mm));
}

/** @param {string} type @param {string} name @param {string} value @param {string} text @param {boolean} checked @param {(checked: boolean) => void} changed */
function option(type, name, value, text, checked, changed) {
  const label = document.createElement("label");
  const input = Object.assign(document.createElement("input"), { type, name, value, checked });
  input.addEventListener("change", () => changed(input.checked));
  label.append(input, text);
  return label;
}

/** Show an answer: the drawing first, what stands beside it once that is to be seen. @param {any} next */
async function take(next) {
  const { fields } = answer; // handed out to the panels: it stays the same object
  for (const name of Object.keys(fields)) delete fields[name];
  answer = { ...next, fields: Object.assign(fields, next.fields, edits.waiting) };
  const held = viewer.place.contains(document.activeElement) && document.activeElement instanceof SVGElement ? { ...document.activeElement.dataset } : {};
  if (answer.views.length) viewer.take(answer.drawings);
  else viewer.place.replaceChildren(Object.assign(document.createElement("p"), { className: "empty", textContent: page.texts.no_plan }));
  if (held.kind) focusOn(held.kind, held.mark ?? "");
  await painted();
  panels();
}

/** @returns {Promise<void>} */
function painted() {
  if (document.hidden) return Promise.resolve(); // nothing is painted
  return new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
}

/** What each panel shows. @type {Map<string, string>} */
const shown = new Map();

/** Fill a panel if it shows something else. @param {string} id @param {any} value @param {(place: HTMLElement) => void} fillIn */
function panel(id, value, fillIn) {
  const text = JSON.stringify(value);
  if (shown.get(id) === text) return;
  const place = element(id);
  const held = document.activeElement;
  if (held instanceof HTMLInputElement && place.contains(held) && held.value !== held.defaultValue) {
    held.addEventListener("blur", () => setTimeout(panels), { once: true }); // somebody is typing in it
    return;
  }
  const all = () => [...place.querySelectorAll("input, select, button")];
  const number = held ? all().indexOf(held) : -1;
  shown.set(id, text);
  fillIn(place);
  const again = all()[number];
  if (again instanceof HTMLElement) again.focus({ preventScroll: true });
}

/** What stands beside the drawing. */
function panels() {
  const { findings, fields, pieces } = answer;
  readLengths(answer.lengths);
  views();
  switches();
  panel("findings", findings, (place) => listFindings(place, findings, page.texts, showFinding));
  panel("things", Object.values(LIST_OF).map((list) => fields[list]), (place) => listThings(place, fields, page, save));
  panel("fields", { ...fields, ...Object.fromEntries(Object.values(LIST_OF).map((list) => [list, 0])) }, (place) => listFields(place, fields, page, save));
  const list = /** @type {HTMLDetailsElement} */ (element("pieces"));
  if (list.open) panel("pieces", pieces, (place) => listPieces(place, pieces, page, showPiece));
  /** @type {HTMLButtonElement} */ (element("undo")).disabled = !done.length;
  /** @type {HTMLButtonElement} */ (element("redo")).disabled = !undone.length;
}

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
element("pieces").addEventListener("toggle", panels);
letMove(viewer, moved, pointed);
viewer.take(answer.drawings);
panels();
