// Asking the server, and telling the person how it went.

/** @typedef {{error: string, faults?: string[], newest?: any, yours?: any}} Refusal */

const words = JSON.parse(document.getElementById("words")?.textContent ?? "{}");

/** A sentence with its gaps filled. @param {string} name @param {Record<string, unknown>} [values] */
export function word(name, values = {}) {
  return fill(words[name] ?? name, values);
}

/** @typedef {string | Record<string, string>} Said a text, or its forms by which counts take them */

/** @param {Said} text @param {Record<string, unknown>} values */
export function fill(text, values) {
  const said = typeof text === "string" ? text : text[form(Number(values.count))] ?? text.other;
  return said.replace(/\{(\w+)\}/g, (_whole, gap) => {
    const value = values[gap] ?? "";
    return typeof value === "number" ? number(value) : String(value);
  });
}

/** Which form of a text goes with a count. @param {number} count @returns {string} */
function form(count) {
  const rules = /** @type {{form: string, is: number[], ends: number[], but: number[]}[]} */ (words.language?.plural ?? []);
  const fitting = rules.find((rule) => rule.is.includes(count) || (rule.ends.includes(count % 10) && !rule.but.includes(count % 100)));
  return fitting?.form ?? "other";
}

/** A number as the language writes it. @param {number} value */
export function number(value) {
  const [whole, parts] = String(value).split(".");
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, words.language?.thousands ?? "");
  return parts ? `${grouped}${words.language?.decimal ?? "."}${parts}` : grouped;
}

/** The unit that lengths are shown in: "mm" or "in". */
export const unit = words.unit ?? "mm";

let quiet = 0;

/** Say a sentence for a while, or until the next one. @param {string} sentence @param {boolean} [stays] */
export function say(sentence, stays = false) {
  const place = document.getElementById("say");
  if (!place) return;
  place.textContent = sentence;
  clearTimeout(quiet);
  if (!stays) quiet = window.setTimeout(() => { place.textContent = ""; }, 6000);
}

/** What the server refused, with its status. */
export class Refused extends Error {
  /** @param {number} status @param {Refusal} answer */
  constructor(status, answer) {
    super(answer.error);
    this.status = status;
    this.answer = answer;
  }
}

/**
 * The answer to a request; throws `Refused`, or says that nobody answers.
 * @param {string} method @param {string} address @param {unknown} [body]
 */
export async function ask(method, address, body) {
  const form = body instanceof FormData;
  let response;
  try {
    response = await fetch(address, {
      method,
      body: body === undefined ? undefined : form ? body : JSON.stringify(body),
      headers: body === undefined || form ? {} : { "Content-Type": "application/json" },
    });
  } catch (failure) {
    throw new Refused(0, { error: word("failed") });
  }
  const answer = await response.json().catch(() => ({ error: response.statusText }));
  if (!response.ok) throw new Refused(response.status, answer);
  return answer;
}

/** Show what was refused in a list, or hide it. @param {Element | null} list @param {Refused | null} refused */
export function showFaults(list, refused) {
  if (!(list instanceof HTMLElement)) return;
  const faults = refused?.answer.faults?.length ? refused.answer.faults : refused ? [refused.message] : [];
  list.replaceChildren(...faults.map((fault) => Object.assign(document.createElement("li"), { textContent: fault })));
  list.hidden = faults.length === 0;
}

/** What lies ready for the script of a page. */
export function pageData() {
  return JSON.parse(document.getElementById("data")?.textContent ?? "{}");
}
