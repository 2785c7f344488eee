// Beside the drawing: what was found, what is on the wall, what the wall is, its pieces.

import { say, unit, word } from "./net.js";

/** @typedef {Record<string, any>} Item */

/** The list of the job file that things of a kind stand in. @type {Record<string, string>} */
export const LIST_OF = { opening: "openings", box: "boxes", obstacle: "obstacles", load: "loads" };

const NO_LENGTHS = ["count", "mass"];

/** What can be typed of each thing. */
const COLUMNS = {
  openings: ["type", "kind", "x", "sill", "width", "height", "reveal"],
  boxes: ["type", "x", "y", "count"],
  obstacles: ["kind", "x", "y", "width", "height", "projection"],
  loads: ["x", "y", "width", "mass", "depth"],
};
const CHOICES = { "openings.kind": ["window", "door", "niche"], "obstacles.kind": ["column", "beam", "pipe", "radiator"] };
const FRESH = {
  openings: { kind: "window", x: 500, sill: 900, width: 900, height: 1200 },
  boxes: { x: 500, y: 300 },
  obstacles: { kind: "pipe", x: 500, y: 200, width: 60, height: 60 },
  loads: { x: 500, y: 1600, width: 600, mass: 20, depth: 200 },
};
const SIMPLE = { name: "text", length: "length", height: "length", lining: "lining", construction: "construction", head_moves: "yes", damp: "yes" };

/** @param {string} name @param {Record<string, any>} [properties] @param {(Node | string)[]} [inside] */
function made(name, properties = {}, inside = []) {
  const element = Object.assign(document.createElement(name), properties);
  element.append(...inside);
  return element;
}

let labels = 0;

/** A field with its label; `changed` gets the value as the job file writes it, null for nothing.
 * @param {string} text @param {any} value @param {string} how @param {string[]} choices @param {(value: any) => void} changed */
function field(text, value, how, choices, changed) {
  const id = `field-${++labels}`;
  const label = made("label", { htmlFor: id, textContent: text });
  if (how === "choice") {
    const select = /** @type {HTMLSelectElement} */ (made("select", { id }));
    const all = value === undefined || choices.includes(value) ? choices : [value, ...choices];
    select.append(...["", ...all].map((one) => new Option(one || "–", one, false, one === (value ?? ""))));
    select.addEventListener("change", () => changed(select.value || null));
    return [label, select];
  }
  const properties = how === "yes" ? { type: "checkbox", checked: value === true } : { value: how === "length" ? asLength(value ?? "") : value ?? "", inputMode: how === "number" || (how === "length" && unit === "mm") ? "numeric" : "text" };
  const input = /** @type {HTMLInputElement} */ (made("input", { id, ...properties }));
  input.addEventListener("change", () => {
    if (how === "length" && ambiguous(input.value)) say(word("unit_missing", { given: input.value }), true);
    else changed(how === "yes" ? input.checked : typed(input.value, how));
  });
  return [label, input];
}

/** Lengths by their millimetres as the person reads them. @type {Record<string, string>} */
let lengths = {};

/** How lengths are read, for what is shown from now on. @param {Record<string, string> | undefined} known */
export function readLengths(known) {
  lengths = known ?? {};
}

/** A length as the person reads it. @param {any} mm @returns {string} */
export function asLength(mm) {
  return lengths[String(mm)] ?? String(mm);
}

/** Whether a number stands alone where it could be inches or millimetres. @param {string} text */
function ambiguous(text) {
  return unit === "in" && /^\s*-?[\d.]+\s*$/.test(text) && Number(text) !== 0;
}

/** What was typed, as the job file writes it; a length may carry its unit. @param {string} text @param {string} how */
export function typed(text, how) {
  const trimmed = text.trim();
  if (trimmed === "") return null;
  return (how === "number" || how === "length") && /^-?\d+(\.\d+)?$/.test(trimmed) ? Number(trimmed) : trimmed;
}

/** @param {HTMLElement} place @param {any[]} findings @param {Record<string, string>} texts @param {(finding: any) => void} show */
export function listFindings(place, findings, texts, show) {
  const list = place.querySelector("ol");
  if (!list) return;
  list.replaceChildren(...findings.map((one) => {
    const button = made("button", { type: "button", textContent: texts.show, className: "plain", ariaLabel: `${texts.show}: ${one.code}` });
    button.addEventListener("click", () => show(one));
    return made("li", {}, [made("strong", { textContent: `${one.code} ` }), one.text, made("p", { textContent: one.remedy }), button]);
  }));
  place.querySelector(".none")?.remove();
  if (!findings.length) place.append(made("p", { className: "hint none", textContent: texts.none_found }));
}

/**
 * Rows of what is on the wall; `changed` gets the name of the list and the list as it then is.
 * @param {HTMLElement} place @param {Item} fields @param {any} page @param {(list: string, items: Item[]) => void} changed
 */
export function listThings(place, fields, page, changed) {
  const heading = place.querySelector("h2");
  const parts = Object.entries(COLUMNS).flatMap(([list, columns]) => {
    /** Things as they are when something is typed: they may have changed since. @returns {Item[]} */
    const now = () => fields[list] ?? [];
    const add = made("button", { type: "button", className: "plain", textContent: page.texts.add, ariaLabel: `${page.texts.add}: ${page.texts[list]}` });
    add.addEventListener("click", () => changed(list, [...now(), /** @type {any} */ (FRESH)[list]]));
    const rows = now().map((item, number) => {
      const row = made("div", { className: "row" });
      row.dataset.row = `${list}.${number}`;
      for (const column of columns) {
        const choices = column === "type" ? page.names[list === "boxes" ? "box_type" : "opening_type"] : /** @type {any} */ (CHOICES)[`${list}.${column}`];
        row.append(made("div", {}, field(page.fields[column], item[column], choices ? "choice" : NO_LENGTHS.includes(column) ? "number" : "length", choices ?? [], (value) => {
          const { [column]: _gone, ...rest } = now()[number] ?? item;
          changed(list, now().map((other, at) => (at === number ? (value === null ? rest : { ...other, [column]: value }) : other)));
        })));
      }
      const gone = made("button", { type: "button", textContent: page.texts.remove, ariaLabel: `${page.texts.remove}: ${page.texts[list]} ${number + 1}` });
      gone.addEventListener("click", () => changed(list, now().filter((_other, at) => at !== number)));
      row.append(gone);
      return row;
    });
    return [made("h3", {}, [page.texts[list], add]), ...rows];
  });
  place.replaceChildren(...(heading ? [heading] : []), ...parts);
}

/** @param {HTMLElement} place @param {Item} fields @param {any} page @param {(field: string, value: any) => void} changed */
export function listFields(place, fields, page, changed) {
  const heading = place.querySelector("h2");
  const pairs = Object.entries(SIMPLE).map(([name, how]) => {
    const choices = page.names[how];
    return made("div", { className: "pair" }, field(page.fields[name], fields[name], choices ? "choice" : how, choices ?? [], (value) => changed(name, value)));
  });
  place.replaceChildren(...(heading ? [heading] : []), ...pairs);
}

/** @param {HTMLElement} place @param {any[]} pieces @param {any} page @param {(piece: any) => void} show */
export function listPieces(place, pieces, page, show) {
  const body = place.querySelector("tbody");
  body?.replaceChildren(...pieces.map((piece) => {
    const button = made("button", { type: "button", textContent: piece.mark });
    button.addEventListener("click", () => show(piece));
    const size = piece.width_mm ? `${asLength(Math.round(piece.length_mm))} × ${asLength(Math.round(piece.width_mm))}` : piece.length_mm ? `${asLength(Math.round(piece.length_mm))}` : "";
    return made("tr", {}, [made("th", { scope: "row" }, [button]), ...[piece.what, piece.item, size].map((text) => made("td", { textContent: text }))]);
  }));
}
