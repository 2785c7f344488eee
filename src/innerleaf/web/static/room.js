// A room measured side by side: drawn as it is typed, with what is missing for it to close.
import { closed, enterGoesOn } from "./closing.js";
import { settle } from "./conflict.js";
import { ask, fill, pageData, Refused, say, showFaults } from "./net.js";

const page = pageData();
const { texts } = page;
const form = /** @type {HTMLFormElement} */ (document.getElementById("room"));
const list = /** @type {HTMLOListElement} */ (document.getElementById("sides"));
const TURNS = [["90", texts.right], ["-90", texts.left], ["45", texts.half_right], ["-45", texts.half_left], ["0", texts.straight]];

function addSide() {
  const number = list.children.length + 1;
  const row = document.createElement("li");
  const length = Object.assign(document.createElement("input"), { className: "length", ariaLabel: fill(texts.length, { number }) });
  const turn = Object.assign(document.createElement("select"), { className: "turn", ariaLabel: fill(texts.turn, { number }) });
  turn.append(...TURNS.map(([value, text]) => new Option(text, value)));
  const lined = Object.assign(document.createElement("input"), { type: "checkbox", checked: true, className: "lined" });
  const label = document.createElement("label");
  label.append(lined, texts.lined);
  row.append(length, " ", turn, " ", label);
  list.append(row);
  return length;
}

/** Sides with a length, and whether each is to be lined. */
function measured() {
  return [...list.children].map((row) => ({
    length_mm: /** @type {HTMLInputElement} */ (row.querySelector(".length")).value.trim(),
    turn_deg: Number(/** @type {HTMLSelectElement} */ (row.querySelector(".turn")).value),
    lined: /** @type {HTMLInputElement} */ (row.querySelector(".lined")).checked,
  })).filter((side) => side.length_mm);
}

let asked = 0;

async function draw() {
  const mine = ++asked;
  await closed(measured(), texts, () => mine === asked);
}

/** @param {number} base */
async function save(base) {
  const faults = form.querySelector(".faults");
  const sides = measured();
  const values = Object.fromEntries(new FormData(form));
  const { height, ...rest } = values;
  try {
    await ask("POST", `/api/jobs/${page.job}/rooms`, {
      ...rest, base, height_mm: height, lined: sides.map((side) => side.lined),
      sides: sides.map(({ length_mm, turn_deg }) => ({ length_mm, turn_deg })),
    });
    location.assign(`/jobs/${page.job}`);
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    if (refused.status === 409 && (await settle(refused.answer))) await save(refused.answer.newest.revision);
    else showFaults(faults, refused);
  }
}

enterGoesOn(list, addSide);
list.addEventListener("change", () => draw().catch((refused) => say(refused.message)));
document.getElementById("more")?.addEventListener("click", () => addSide().focus());
form.addEventListener("submit", (event) => {
  event.preventDefault();
  save(page.base);
});
for (let side = 0; side < 4; side += 1) addSide();
