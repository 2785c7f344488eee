// The page of one wall: every change is saved, the wall set out anew and drawn again.
import { settle } from "./conflict.js";
import { letMove } from "./moving.js";
import { ask, fill, pageData, Refused, say, word } from "./net.js";
import { LIST_OF, listFields, listFindings, listPieces, listThings } from "./panels.js";
import { Viewer } from "./viewer.js";

const page = pageData();
const address = `/api/jobs/${page.job}/walls/${encodeURIComponent(page.answer.id)}`;
const element = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const viewer = new Viewer(element("drawing"));

let answer = page.answer;
/** Revisions to go back to, and those gone back from. */
const done = /** @type {number[]} */ ([]);
const undone = /** @type {number[]} */ ([]);
/** Saves wait for one another: each is made on what the one before gave. */
let queue = Promise.resolve();

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

/** Save one field. @param {string} field @param {any} value */
function save(field, value) {
  return inTurn(() => saveOn(answer.revision, field, value));
}

/** @param {number} base @param {string} field @param {any} value */
async function saveOn(base, field, value) {
  try {
    const before = answer.revision;
    answer = await ask("PUT", `${address}/${field}`, { base, value });
    if (answer.revision !== before) {
      done.push(before);
      undone.length = 0;
    }
    show();
    say(word("saved", { number: answer.revision }));
  } catch (refused) {
    if (!(refused instanceof Refused) || refused.status !== 409) throw refused;
    if (await settle(refused.answer)) await saveOn(refused.answer.newest.revision, field, value);
    else {
      answer = await ask("GET", address);
      show();
    }
  }
}

/** @param {number[]} from @param {number[]} to @param {string} said */
function goBack(from, to, said) {
  return inTurn(async () => {
    const number = from.pop();
    if (number === undefined) return say(word("nothing"));
    const before = answer.revision;
    await ask("POST", `/api/jobs/${page.job}/restore`, { number });
    to.push(before);
    answer = await ask("GET", address);
    show();
    say(word(said));
  });
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
  save(list, items.map((/** @type {any} */ other, /** @type {number} */ at) => (at === number ? next : other)))
    .then(() => focusOn(kind, mark));
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
  const size = piece.width_mm ? `${Math.round(piece.length_mm)} × ${Math.round(piece.width_mm)} mm` : piece.length_mm ? `${Math.round(piece.length_mm)} mm` : "";
  element("told").textContent = [piece.mark, piece.what, piece.item, size, `x = ${Math.round(piece.x_mm)}, y = ${Math.round(piece.y_mm)}`].filter(Boolean).join(" · ");
}

/** @param {any} finding */
function showFinding(finding) {
  if (finding.layer && `boards-${finding.layer}` in answer.drawings) choose(`boards-${finding.layer}`);
  viewer.point(finding.x_mm, finding.y_mm);
  viewer.place.focus();
}

/** @param {any} piece */
function showPiece(piece) {
  choose(piece.kind === "board" ? `boards-${piece.layer}` : "frame");
  viewer.point(piece.x_mm, piece.y_mm);
  pointed(piece.kind, piece.mark);
}

/** @param {string} view */
function choose(view) {
  viewer.show(view);
  for (const input of element("views").querySelectorAll("input")) input.checked = input.value === view;
  switches();
}

function views() {
  const names = Object.keys(answer.drawings);
  const place = element("views");
  if (place.dataset.names === names.join()) return;
  place.dataset.names = names.join();
  place.querySelectorAll("label").forEach((label) => label.remove());
  for (const name of names) {
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

/** @param {string} type @param {string} name @param {string} value @param {string} text @param {boolean} checked @param {(checked: boolean) => void} changed */
function option(type, name, value, text, checked, changed) {
  const label = document.createElement("label");
  const input = Object.assign(document.createElement("input"), { type, name, value, checked });
  input.addEventListener("change", () => changed(input.checked));
  label.append(input, text);
  return label;
}

/** Show everything of the answer. */
function show() {
  viewer.take(answer.drawings);
  views();
  switches();
  listFindings(element("findings"), answer.findings, page.texts, showFinding);
  listThings(element("things"), answer.fields, page, save);
  listFields(element("fields"), answer.fields, page, save);
  listPieces(element("pieces"), answer.pieces, page, showPiece);
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
letMove(viewer, moved, pointed);
show();
