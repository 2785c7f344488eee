// A room measured side by side: drawn as it is typed, with what is missing for it to close.
import { settle } from "./conflict.js";
import { ask, fill, pageData, Refused, say, showFaults } from "./net.js";

/** @typedef {{x_mm: number, y_mm: number}} Corner */

const page = pageData();
const { texts } = page;
const form = /** @type {HTMLFormElement} */ (document.getElementById("room"));
const list = /** @type {HTMLOListElement} */ (document.getElementById("sides"));
const TURNS = [["90", texts.right], ["-90", texts.left], ["45", texts.half_right], ["-45", texts.half_left], ["0", texts.straight]];

function addSide() {
  const number = list.children.length + 1;
  const row = document.createElement("li");
  const length = Object.assign(document.createElement("input"), { type: "number", min: "1", inputMode: "numeric", className: "length", ariaLabel: fill(texts.length, { number }) });
  const turn = Object.assign(document.createElement("select"), { className: "turn", ariaLabel: fill(texts.turn, { number }) });
  turn.append(...TURNS.map(([value, text]) => new Option(text, value)));
  const lined = Object.assign(document.createElement("input"), { type: "checkbox", checked: true, className: "lined" });
  const label = document.createElement("label");
  label.append(lined, texts.lined);
  row.append(length, " ", turn, " ", label);
  list.append(row);
  length.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault(); // the next side, not the end of the form
    const next = row.nextElementSibling?.querySelector("input") ?? addSide();
    next.focus();
  });
  return length;
}

/** Sides with a length, and whether each is to be lined. */
function measured() {
  return [...list.children].map((row) => ({
    length_mm: Number(/** @type {HTMLInputElement} */ (row.querySelector(".length")).value),
    turn_deg: Number(/** @type {HTMLSelectElement} */ (row.querySelector(".turn")).value),
    lined: /** @type {HTMLInputElement} */ (row.querySelector(".lined")).checked,
  })).filter((side) => side.length_mm > 0);
}

let asked = 0;

async function draw() {
  const sides = measured().map(({ length_mm, turn_deg }) => ({ length_mm, turn_deg }));
  const mine = ++asked;
  if (sides.length < 3) return;
  const closing = await ask("POST", "/api/rooms/close", { sides });
  if (mine !== asked) return; // something newer is on its way
  const xs = closing.corners.map((/** @type {Corner} */ one) => one.x_mm);
  const ys = closing.corners.map((/** @type {Corner} */ one) => -one.y_mm);
  const pad = 400;
  const box = [Math.min(...xs) - pad, Math.min(...ys) - pad, Math.max(...xs) - Math.min(...xs) + 2 * pad, Math.max(...ys) - Math.min(...ys) + 2 * pad];
  const points = xs.map((/** @type {number} */ x, /** @type {number} */ at) => `${x},${ys[at]}`).join(" ");
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", box.join(" "));
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", texts.plan);
  svg.innerHTML = `<polygon class="plan" points="${points}"/>`;
  closing.corners.forEach((/** @type {Corner} */ _corner, /** @type {number} */ at) => {
    const next = (at + 1) % xs.length;
    const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
    text.setAttribute("x", String((xs[at] + xs[next]) / 2));
    text.setAttribute("y", String((ys[at] + ys[next]) / 2));
    text.setAttribute("font-size", String(Math.max(box[2], box[3]) / 28));
    text.textContent = `${at + 1}: ${sides[at].length_mm}`;
    svg.append(text);
  });
  document.getElementById("plan")?.replaceChildren(svg);
  const place = /** @type {HTMLElement} */ (document.getElementById("closes"));
  const miss = Math.round(closing.miss_mm);
  const good = miss <= 5 && Math.abs(closing.turned_deg) < 0.5;
  place.className = good ? "" : "notice";
  place.textContent = Math.abs(closing.turned_deg) >= 0.5 ? fill(texts.turned, { angle: Math.round(closing.turned_deg) })
    : miss ? fill(texts.misses, { miss, one_in: Math.round(closing.one_in) }) : texts.closes;
}

/** @param {number} base */
async function save(base) {
  const faults = form.querySelector(".faults");
  const sides = measured();
  const values = Object.fromEntries(new FormData(form));
  const { height, ...rest } = values;
  try {
    await ask("POST", `/api/jobs/${page.job}/rooms`, {
      ...rest, base, height_mm: Number(height), lined: sides.map((side) => side.lined),
      sides: sides.map(({ length_mm, turn_deg }) => ({ length_mm, turn_deg })),
    });
    location.assign(`/jobs/${page.job}`);
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    if (refused.status === 409 && (await settle(refused.answer))) await save(refused.answer.newest.revision);
    else showFaults(faults, refused);
  }
}

list.addEventListener("input", () => draw().catch((refused) => say(refused.message)));
document.getElementById("more")?.addEventListener("click", () => addSide().focus());
form.addEventListener("submit", (event) => {
  event.preventDefault();
  save(page.base);
});
for (let side = 0; side < 4; side += 1) addSide();
