// A report that is worked out in the background: followed, shown, and its rows filtered.
import { ask, fill, pageData, Refused, say } from "./net.js";

const { texts } = pageData();
const place = /** @type {HTMLElement} */ (document.querySelector("[data-report]"));
const { job, tab } = place.dataset;
const box = /** @type {HTMLInputElement | null} */ (document.getElementById("filter"));
box?.addEventListener("input", filter);

await begin().catch(tell);

async function begin() {
  const run = await ask("POST", `/api/jobs/${job}/runs`, JSON.parse(place.dataset.report ?? "{}"));
  if (run.state === "done") await show(run.id);
  else follow(run.id);
}

/** @param {string} id */
function follow(id) {
  const events = new EventSource(`/api/runs/${id}/events`);
  events.addEventListener("far", (event) => {
    const run = JSON.parse(event.data);
    const far = run.of ? `${run.doing} ${run.done} / ${run.of}` : run.doing;
    const sentence = run.state === "waiting" ? texts.waiting : `${texts.working} ${far}`;
    place.replaceChildren(Object.assign(document.createElement("p"), { className: "empty", textContent: sentence }));
    if (run.of) place.firstElementChild?.append(document.createElement("br"), Object.assign(document.createElement("progress"), { max: run.of, value: run.done, ariaLabel: texts.working }));
  });
  events.addEventListener("end", (event) => {
    events.close();
    const run = JSON.parse(event.data);
    if (run.state === "done") show(run.id).catch(tell);
    else failed(run.error ? fill(texts.failed, { error: run.error }) : texts.stopped);
  });
  events.addEventListener("error", () => {
    if (events.readyState === EventSource.CLOSED) failed(texts.lost); // else it asks again by itself
  });
}

/** @param {string} id */
async function show(id) {
  const answer = await fetch(`/runs/${id}/report?tab=${encodeURIComponent(tab ?? "")}`);
  place.innerHTML = await answer.text();
  filter();
  place.dispatchEvent(new CustomEvent("shown", { detail: id }));
}

/** What went wrong, and the way to try again. @param {string} sentence */
function failed(sentence) {
  const again = Object.assign(document.createElement("button"), { type: "button", textContent: texts.again, className: "again" });
  again.addEventListener("click", () => {
    place.replaceChildren(Object.assign(document.createElement("p"), { className: "empty", textContent: texts.waiting }));
    begin().catch(tell);
  });
  const notice = Object.assign(document.createElement("p"), { className: "notice", textContent: sentence });
  place.replaceChildren(notice, again);
}

/** @param {unknown} refused */
function tell(refused) {
  if (!(refused instanceof Refused)) throw refused;
  failed(refused.answer.faults?.join("\n") || refused.message);
  say(refused.message);
}

/** Show the rows that have every word typed. */
function filter() {
  const words = (box?.value ?? "").toLowerCase().split(/\s+/).filter(Boolean);
  for (const table of place.querySelectorAll("table")) {
    let left = 0;
    for (const row of table.tBodies[0]?.rows ?? []) {
      const text = row.textContent?.toLowerCase() ?? "";
      row.hidden = !words.every((word) => text.includes(word));
      if (!row.hidden) left += 1;
    }
    table.classList.toggle("nothing-left", left === 0);
  }
  if (words.length) say(fill(texts.left, { count: [...place.querySelectorAll("tbody tr:not([hidden])")].length }));
}
