// Sheets and lists: asked for, followed while they are made, fetched.
import { ask, fill, pageData, Refused, say } from "./net.js";

/** @typedef {{id: string, revision: number, who: string, state: string, doing: string, done: number, of: number, stop_asked: boolean, error: string, files: string[]}} Run */

const page = pageData();
const { texts } = page;
const place = /** @type {HTMLElement} */ (document.getElementById("runs"));

/** @param {string} name @param {Record<string, any>} [properties] @param {(Node | string)[]} [inside] */
function made(name, properties = {}, inside = []) {
  const element = Object.assign(document.createElement(name), properties);
  element.append(...inside);
  return element;
}

/** @param {Run} run */
function over(run) {
  return ["done", "failed", "stopped"].includes(run.state);
}

/** @param {Run} run */
function shown(run) {
  const id = `run-${run.id}`;
  const heading = made("h2", { textContent: fill(texts.of_revision, { number: run.revision, who: run.who }) });
  const parts = [heading, made("p", { textContent: run.error || texts[run.state] })];
  if (run.state === "running") {
    const bar = made("progress", { max: run.of || 1, ariaLabel: texts.running });
    if (run.of) bar.value = run.done;
    parts.push(made("p", {}, [bar, ` ${run.doing} ${run.of ? `${run.done} / ${run.of}` : ""}`]));
  }
  if (!over(run)) {
    const button = made("button", { type: "button", className: "plain", textContent: texts.stop, disabled: run.stop_asked });
    button.addEventListener("click", () => ask("POST", `/api/runs/${run.id}/stop`).then(put, told));
    parts.push(button);
  }
  if (run.files.length) parts.push(fileList(run));
  const section = made("section", { id, className: "run" }, parts);
  return section;
}

/** Files by folder, those of the whole building first and open. @param {Run} run */
function fileList(run) {
  /** @type {Map<string, string[]>} */
  const folders = new Map();
  for (const name of run.files) {
    const folder = name.includes("/") ? name.slice(0, name.lastIndexOf("/")) : "";
    folders.set(folder, [...(folders.get(folder) ?? []), name]);
  }
  return made("div", {}, [...folders].map(([folder, names]) => {
    const links = names.map((name) => made("li", {}, [
      made("a", { href: `/api/runs/${run.id}/files/${name.split("/").map(encodeURIComponent).join("/")}`, textContent: name.slice(folder ? folder.length + 1 : 0) }),
    ]));
    const list = made("ul", { className: "files" }, links);
    return folder ? made("details", {}, [made("summary", { textContent: `${folder} (${names.length})` }), list]) : list;
  }));
}

/** @param {Run} run */
function put(run) {
  const before = document.getElementById(`run-${run.id}`);
  if (before) before.replaceWith(shown(run));
  else place.prepend(shown(run));
}

/** @param {unknown} refused */
function told(refused) {
  if (!(refused instanceof Refused)) throw refused;
  say(refused.message, true);
}

/** @param {Run} run */
function follow(run) {
  put(run);
  if (over(run)) return;
  const events = new EventSource(`/api/runs/${run.id}/events`);
  events.addEventListener("far", (event) => put(JSON.parse(event.data)));
  events.addEventListener("end", (event) => {
    put(JSON.parse(event.data));
    events.close();
  });
}

for (const run of [...page.runs].reverse()) follow(run);
document.getElementById("ask")?.addEventListener("submit", (event) => {
  event.preventDefault();
  ask("POST", `/api/jobs/${page.job}/runs`, { kind: "sheets" }).then(follow, told);
});
