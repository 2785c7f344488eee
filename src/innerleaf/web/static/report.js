// A report that is worked out in the background: followed, shown, and its rows filtered.
import { ask, fill, pageData, Refused, say } from "./net.js";

const { texts } = pageData();
const place = /** @type {HTMLElement} */ (document.querySelector("[data-report]"));
const { job, tab } = place.dataset;
const box = /** @type {HTMLInputElement | null} */ (document.getElementById("filter"));
box?.addEventListener("input", filter);

try {
  const run = await ask("POST", `/api/jobs/${job}/runs`, JSON.parse(place.dataset.report ?? "{}"));
  if (run.state === "done") await show(run.id);
  else follow(run.id);
} catch (refused) {
  tell(refused);
}

/** @param {string} id */
function follow(id) {
  const events = new EventSource(`/api/runs/${id}/events`);
  events.addEventListener("far", (event) => {
    const run = JSON.parse(event.data);
    const far = run.of ? `${run.doing} ${run.done} / ${run.of}` : run.doing;
    place.replaceChildren(Object.assign(document.createElement("p"), { className: "empty", textContent: `${texts.working} ${far}` }));
  });
  events.addEventListener("end", (event) => {
    events.close();
    const run = JSON.parse(event.data);
    if (run.state === "done") show(run.id).catch(tell);
    else place.replaceChildren(Object.assign(document.createElement("p"), { className: "notice", textContent: run.error || texts.stopped }));
  });
}

/** @param {string} id */
async function show(id) {
  const answer = await fetch(`/runs/${id}/report?tab=${encodeURIComponent(tab ?? "")}`);
  place.innerHTML = await answer.text();
  filter();
  place.dispatchEvent(new CustomEvent("shown", { detail: id }));
}

/** @param {unknown} refused */
function tell(refused) {
  if (!(refused instanceof Refused)) throw refused;
  place.replaceChildren(Object.assign(document.createElement("p"), { className: "notice", textContent: refused.answer.faults?.join("\n") || refused.message }));
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
