// The steps of a new job: sides that grow and close as they are typed, old walls that stand ready.
import { closed, enterGoesOn } from "./closing.js";
import { fill, pageData, Refused, say } from "./net.js";

const page = pageData();
const form = /** @type {HTMLFormElement} */ (document.getElementById("begin"));
const list = /** @type {HTMLOListElement | null} */ (document.getElementById("sides"));
if (list) measuring(list);
const ready = /** @type {HTMLSelectElement | null} */ (document.getElementById("ready"));
if (ready) fillLayers(ready);
(/** @type {HTMLElement | null} */ (form.querySelector("[aria-invalid]")))?.focus();

/** @param {HTMLOListElement} sides */
function measuring(sides) {
  let asked = 0;
  const draw = async () => {
    const mine = ++asked;
    const measured = [...sides.children].map((row) => ({
      length_mm: /** @type {HTMLInputElement} */ (row.querySelector("input")).value.trim(),
      turn_deg: Number(/** @type {HTMLSelectElement} */ (row.querySelector("select")).value),
    })).filter((side) => side.length_mm);
    await closed(measured, page.texts, () => mine === asked);
  };
  const drawn = () => draw().catch((refused) => {
    if (!(refused instanceof Refused)) throw refused;
    say(refused.answer.faults?.[0] ?? refused.message);
  });
  sides.addEventListener("change", drawn);
  enterGoesOn(sides, addSide);
  document.getElementById("more")?.addEventListener("click", (event) => {
    event.preventDefault();
    addSide().focus();
  });
  drawn();

  function addSide() {
    const number = sides.children.length;
    const row = /** @type {HTMLLIElement} */ (sides.children[number - 1].cloneNode(true));
    row.querySelectorAll(".error").forEach((error) => error.remove());
    const length = /** @type {HTMLInputElement} */ (row.querySelector("input"));
    const turn = /** @type {HTMLSelectElement} */ (row.querySelector("select"));
    Object.assign(length, { name: `sides[${number}].length`, value: "", ariaLabel: fill(page.side, { number: number + 1 }) });
    Object.assign(turn, { name: `sides[${number}].turn`, value: "90", ariaLabel: fill(page.turn, { number: number + 1 }) });
    length.removeAttribute("aria-invalid");
    sides.append(row);
    return length;
  }
}

/** @param {HTMLSelectElement} select */
function fillLayers(select) {
  const shown = select.closest("p");
  if (shown) shown.hidden = false;
  select.addEventListener("change", () => {
    /** @type {{material: string, thickness: number}[]} */
    const layers = page.constructions[select.value] ?? [];
    if (!layers.length) return;
    form.querySelectorAll("[name$='.material']").forEach((field, at) => {
      /** @type {HTMLSelectElement} */ (field).value = layers[at]?.material ?? "";
    });
    form.querySelectorAll("[name$='.thickness']").forEach((field, at) => {
      if (field instanceof HTMLInputElement && field.name.startsWith("[")) field.value = layers[at] ? `${layers[at].thickness} mm` : "";
    });
  });
}
