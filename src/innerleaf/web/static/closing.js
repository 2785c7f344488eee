// A room measured side by side: drawn as far as it is typed, with what is missing for it to close.
import { ask, fill } from "./net.js";

/** @typedef {{x_mm: number, y_mm: number}} Corner */
/** @typedef {{length_mm: number | string, turn_deg: number}} Side */

/**
 * Draw the room and say whether it closes; nothing once `current` says that something newer is on its way.
 * @param {Side[]} sides @param {Record<string, string>} texts @param {() => boolean} current
 */
export async function closed(sides, texts, current) {
  if (sides.length < 3) return;
  const closing = await ask("POST", "/api/rooms/close", { sides: sides.map(({ length_mm, turn_deg }) => ({ length_mm, turn_deg })) });
  if (!current()) return;
  const xs = closing.corners.map((/** @type {Corner} */ one) => one.x_mm);
  const ys = closing.corners.map((/** @type {Corner} */ one) => -one.y_mm);
  const pad = 400;
  const box = [Math.min(...xs) - pad, Math.min(...ys) - pad, Math.max(...xs) - Math.min(...xs) + 2 * pad, Math.max(...ys) - Math.min(...ys) + 2 * pad];
  const svg = made("svg", { viewBox: box.join(" "), role: "img", "aria-label": texts.plan });
  svg.append(made("polygon", { class: "plan", points: xs.map((/** @type {number} */ x, /** @type {number} */ at) => `${x},${ys[at]}`).join(" ") }));
  closing.corners.forEach((/** @type {Corner} */ _corner, /** @type {number} */ at) => {
    const next = (at + 1) % xs.length;
    const text = made("text", { x: String((xs[at] + xs[next]) / 2), y: String((ys[at] + ys[next]) / 2), "font-size": String(Math.max(box[2], box[3]) / 28) });
    text.textContent = `${at + 1}: ${sides[at].length_mm}`;
    svg.append(text);
  });
  document.getElementById("plan")?.replaceChildren(svg);
  const place = /** @type {HTMLElement} */ (document.getElementById("closes"));
  const turned = Math.abs(closing.turned_deg) >= 0.5;
  place.className = closing.miss_mm <= 5 && !turned ? "" : "notice";
  place.textContent = turned ? fill(texts.turned, { angle: Math.round(closing.turned_deg) })
    : Math.round(closing.miss_mm) ? fill(texts.misses, { miss: closing.miss, one_in: Math.round(closing.one_in) }) : texts.closes;
}

/** Enter in a length goes on to the next side, not to the end of the form.
 * @param {HTMLOListElement} list @param {() => HTMLInputElement} add */
export function enterGoesOn(list, add) {
  list.addEventListener("keydown", (event) => {
    const row = event.target instanceof HTMLInputElement ? event.target.closest("li") : null;
    if (event.key !== "Enter" || !row) return;
    event.preventDefault();
    const next = row.nextElementSibling?.querySelector("input") ?? add();
    next.focus();
  });
}

/** @param {string} name @param {Record<string, string>} attributes */
function made(name, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}
