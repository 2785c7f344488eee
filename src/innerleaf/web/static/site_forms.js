// Parts of the site's pages: elements, big figures, verdicts while one types, forms that make an entry.
import { fill } from "./net.js";
import { asked, judge, margin } from "./site_record.js";

/** @typedef {import("./site_record.js").Check} Check */
/** @typedef {import("./site_record.js").Ask} Ask */
/** @typedef {import("./site_record.js").Entry} Entry */
/** @typedef {import("./site_record.js").Judged} Judged */
/** @typedef {Record<string, string>} Texts */
/** @typedef {(said: Partial<Entry> & {kind: string}) => Promise<void>} Add */

let number = 0;

/**
 * An element with its properties and what is in it.
 * @param {string} tag @param {Record<string, any>} [properties] @param {...(Node | string | null | undefined | false)} inside
 * @returns {any}
 */
export function el(tag, properties = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name.includes("-") || name === "for") made.setAttribute(name, String(value));
    else /** @type {any} */ (made)[name] = value;
  }
  made.append(...inside.filter((one) => one !== null && one !== undefined && one !== false));
  return made;
}

/** A labelled field. @param {string} text @param {any} input @returns {HTMLElement} */
export function labelled(text, input) {
  number += 1;
  input.id ||= `field-${number}`;
  return el("div", { className: "field" }, el("label", { htmlFor: input.id }, text), input);
}

/** A field for a number, typed on the digits of the device; a comma is a point. @param {string} name @param {string} unit */
export function figureField(name, unit) {
  const input = el("input", { name, type: "text", inputMode: "decimal", autocomplete: "off", className: "figure" });
  return { input, shown: el("span", { className: "with-unit" }, input, el("span", { className: "unit" }, unit)) };
}

/** What a field says; NaN for nothing or no number. @param {string} text */
export function figureOf(text) {
  const plain = text.trim().replace(",", ".");
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : NaN;
}

/** @param {string} text @param {() => unknown} pressed @param {Record<string, any>} [properties] */
export function button(text, pressed, properties = {}) {
  const made = el("button", { type: "button", ...properties }, text);
  made.addEventListener("click", pressed);
  return made;
}

/** A choice. @param {[string, string][]} options value and text */
export function choice(options) {
  return el("select", {}, ...options.map(([value, text]) => el("option", { value }, text)));
}

/** A verdict in words, with its margin. @param {Judged} one @param {Texts} texts @returns {HTMLElement} */
export function verdict(one, texts) {
  const met = margin(one) >= 0;
  const named = one.unit === "yes" ? "" : fill(texts[one.at_most ? "at_most" : "at_least"], { limit: one.limit, unit: one.unit });
  const by = one.unit === "yes" ? "" : fill(texts[met ? "margin" : "missed_by"], { margin: Math.abs(margin(one)), unit: one.unit });
  return el(
    "p",
    { className: met ? "said good" : "said bad" },
    el("strong", {}, met ? `✓ ${texts.good}` : `✗ ${texts.bad}`),
    [named, by].some(Boolean) ? ` ${[named, by].filter(Boolean).join(" · ")}` : "",
  );
}

/**
 * The form of a check: figures or questions, and the verdict at once.
 * @param {Check} check @param {Texts} texts @param {Add} add @param {() => Promise<string[]>} photos
 */
export function checkForm(check, texts, add, photos) {
  /** @type {Record<string, number>} */
  const values = {};
  const said = el("div", { className: "verdicts" });
  said.setAttribute("aria-live", "polite");
  const keep = button(texts.keep_check, () => record(), { className: "big", disabled: true });
  const note = el("input", { type: "text", maxLength: 500 });

  function show() {
    const judged = judge(check, values);
    said.replaceChildren(...(judged ?? []).map((one) => verdict(one, texts)));
    keep.disabled = judged === null;
  }

  async function record() {
    const judged = judge(check, values);
    if (!judged) return;
    await add({ kind: "check", what: check.check, mark: check.step, values: { ...values }, judged, text: note.value.trim(), photos: await photos() });
  }

  const fields = asked(check).map((name) => {
    const ask = check.asks.find((one) => one.name === name);
    if (ask?.unit === "yes") return question(ask, texts, (value) => { values[name] = value; show(); });
    const over = check.asks.find((one) => one.over === name);
    const text = ask?.text ?? over?.over_text ?? name;
    const { input, shown } = figureField(name, ask?.unit ?? over?.over_unit ?? "");
    input.addEventListener("input", () => { values[name] = figureOf(input.value); show(); });
    number += 1;
    input.id = `field-${number}`;
    return el("div", { className: "field" }, el("label", { htmlFor: input.id }, text), shown);
  });
  return el("div", { className: "check" }, el("p", { className: "hint" }, check.how), ...fields, said, labelled(texts.note, note), keep);
}

/** A question answered by yes or no. @param {Ask} ask @param {Texts} texts @param {(value: number) => void} answered */
function question(ask, texts, answered) {
  const pair = /** @type {[number, string][]} */ ([[1, texts.yes], [0, texts.no]]);
  const buttons = pair.map(([value, text]) => {
    const made = button(text, () => {
      for (const other of buttons) other.setAttribute("aria-pressed", String(other === made));
      answered(value);
    }, { className: "big plain", "aria-pressed": "false" });
    return made;
  });
  return el("fieldset", { className: "question" }, el("legend", {}, ask.text), ...buttons);
}
