// The linings that a wall may get: points to go to by keys, two or three side by side, one to be taken.
import { settle } from "./conflict.js";
import { ask, fill, pageData, Refused, say, word } from "./net.js";

const page = pageData();
const place = /** @type {HTMLElement} */ (document.getElementById("choices"));
const taken = /** @type {HTMLElement} */ (document.getElementById("taken"));
const address = `/api/jobs/${page.job}`;
const MOST = 3;
let base = page.base;
let run = "";

document.querySelector("[data-report]")?.addEventListener("shown", (event) => {
  run = /** @type {CustomEvent<string>} */ (event).detail;
  show();
});

async function show() {
  const asked = new URLSearchParams();
  for (const select of place.querySelectorAll("select")) asked.set(select.dataset.axis ?? "", select.value);
  for (const box of compared()) asked.append("n", box.value);
  const focused = /** @type {HTMLElement | null} */ (document.activeElement);
  const again = focused?.dataset.axis ? `[data-axis="${focused.dataset.axis}"]` : focused instanceof HTMLInputElement ? `[name=compare][value="${focused.value}"]` : "";
  const answer = await fetch(`/runs/${run}/options?${asked}`);
  place.innerHTML = await answer.text();
  if (again) /** @type {HTMLElement | null} */ (place.querySelector(again))?.focus();
}

/** @returns {HTMLInputElement[]} */
function compared() {
  return [...place.querySelectorAll("input[name=compare]:checked")].map((box) => /** @type {HTMLInputElement} */ (box));
}

place.addEventListener("change", (event) => {
  if (event.target instanceof HTMLInputElement && compared().length > MOST) {
    event.target.checked = false;
    say(fill(page.options.most, { count: MOST }));
    return;
  }
  show();
});

place.addEventListener("click", (event) => {
  const button = event.target instanceof Element ? event.target.closest("[data-take]") : null;
  if (button instanceof HTMLElement) take(Number(button.dataset.take), base);
});

/** @param {number} number @param {number} on */
async function take(number, on) {
  try {
    const saved = await ask("PUT", `${address}/walls/${encodeURIComponent(page.wall)}/option`, { base: on, run, number });
    base = saved.revision;
    const text = Object.assign(document.createElement("p"), { textContent: fill(page.options.taken, { number, name: saved.lining, revision: saved.revision }) });
    const back = Object.assign(document.createElement("button"), { type: "button", className: "plain", textContent: page.undo });
    back.addEventListener("click", () => undo(saved.before));
    const link = Object.assign(document.createElement("a"), { href: `/jobs/${page.job}/walls/${encodeURIComponent(page.wall)}`, textContent: page.back });
    taken.replaceChildren(text, back, " ", link);
    taken.hidden = false;
    back.focus();
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    if (refused.status === 409 && (await settle(refused.answer))) await take(number, refused.answer.newest.revision);
    else say(refused.answer.faults?.join("\n") || refused.message, true);
  }
}

/** @param {number} number */
async function undo(number) {
  const saved = await ask("POST", `${address}/restore`, { number });
  base = saved.revision;
  taken.replaceChildren(Object.assign(document.createElement("p"), { textContent: word("undone") }));
}

place.addEventListener("keydown", (event) => {
  const point = event.target instanceof Element ? event.target.closest(".point") : null;
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (!point || (!step && !["Home", "End", "Enter"].includes(event.key))) return;
  event.preventDefault();
  const points = /** @type {SVGElement[]} */ ([...place.querySelectorAll(".point")]);
  const at = points.indexOf(/** @type {SVGElement} */ (point));
  if (event.key === "Enter") {
    const card = place.querySelector(`.option[data-number="${points[at].dataset.number}"] button`);
    if (points[at].dataset.number !== "0" && card instanceof HTMLElement) card.focus();
    return;
  }
  const next = step ? points[(at + step + points.length) % points.length] : points[event.key === "Home" ? 0 : points.length - 1];
  points[at].tabIndex = -1;
  next.tabIndex = 0;
  next.focus();
});

for (const name of ["focusin", "pointerover"]) {
  place.addEventListener(name, (event) => {
    const point = event.target instanceof Element ? event.target.closest(".point") : null;
    const told = document.getElementById("pointed");
    if (point && told) told.textContent = point.getAttribute("aria-label");
  });
}
