// Work asked for by a button: followed while it is done, then its files to fetch, and its report if it has one.
import { ask, fill, pageData, Refused, say } from "./net.js";

/** @typedef {{id: string, revision: number, who: string, state: string, doing: string, done: number, of: number, error: string, files: string[]}} Run */

const { runs, texts } = pageData();
const place = /** @type {HTMLElement} */ (document.getElementById("asked"));
const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-ask]"));
const SHOWN = /\.(pdf|json)$/, REPORT = "report.json", PLAN = "plan.json";

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const button = form.querySelector("button");
  if (button) button.disabled = true;
  try {
    follow(await ask("POST", form.dataset.ask ?? "", form.dataset.body ? JSON.parse(form.dataset.body) : undefined));
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    place.replaceChildren(made("p", { className: "notice", textContent: refused.message }));
    say(refused.message, true);
  } finally {
    if (button) button.disabled = false;
  }
});
for (const run of [...runs].reverse()) follow(run);

/** @param {string} name @param {Record<string, any>} [properties] @param {(Node | string)[]} [inside] */
function made(name, properties = {}, inside = []) {
  const element = Object.assign(document.createElement(name), properties);
  element.append(...inside);
  return element;
}

/** @param {Run} run */
function follow(run) {
  put(run);
  if (["done", "failed", "stopped"].includes(run.state)) return;
  const events = new EventSource(`/api/runs/${run.id}/events`);
  events.addEventListener("far", (event) => put(JSON.parse(event.data)));
  events.addEventListener("end", (event) => {
    events.close();
    put(JSON.parse(event.data));
  });
}

/** @param {Run} run */
function put(run) {
  const id = `asked-${run.id}`;
  const parts = [
    made("h2", { textContent: fill(texts.of_revision, { number: run.revision, who: run.who }) }),
    made("p", { textContent: run.error || texts[run.state] }),
  ];
  if (run.state === "running") {
    const bar = made("progress", { max: run.of || 1, ariaLabel: texts.running });
    if (run.of) bar.value = run.done;
    parts.push(made("p", {}, [bar, ` ${run.doing} ${run.of ? `${run.done} / ${run.of}` : ""}`]));
  }
  const files = run.files.filter((name) => SHOWN.test(name) && name !== REPORT && name !== PLAN);
  files.sort((a, b) => Number(b.endsWith(".pdf")) - Number(a.endsWith(".pdf")));
  if (files.length) {
    const links = files.map((name) => made("li", {}, [made("a", { href: `/api/runs/${run.id}/files/${encodeURIComponent(name)}`, textContent: name })]));
    parts.push(made("ul", { className: "files" }, links));
  }
  const section = made("section", { id, className: "run" }, parts);
  const before = document.getElementById(id);
  if (before) before.replaceWith(section);
  else place.prepend(section);
  if (run.state === "done" && form?.dataset.report) report(run.id, section);
}

/** @param {string} id @param {HTMLElement} section */
async function report(id, section) {
  const answer = await fetch(`/runs/${id}/report`);
  if (answer.ok) section.append(made("div", { innerHTML: await answer.text() }));
}
