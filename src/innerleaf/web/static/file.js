// The job file as text: checked and saved as a whole, line ends as they were.
import { ask, Refused, say, showFaults, word } from "./net.js";
import { settle } from "./conflict.js";

const form = /** @type {HTMLFormElement} */ (document.getElementById("file"));
const area = /** @type {HTMLTextAreaElement} */ (document.getElementById("text"));
const note = /** @type {HTMLInputElement} */ (document.getElementById("note"));
const lineEnd = form.dataset.breaks === "crlf" ? "\r\n" : "\n";

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  await save(Number(form.dataset.base));
});

/** @param {number} base */
async function save(base) {
  const list = form.querySelector(".faults");
  const text = area.value.replace(/\r?\n/g, lineEnd);
  try {
    const saved = await ask("PUT", `/api/jobs/${form.dataset.job}/text`, { base, text, note: note.value });
    form.dataset.base = String(saved.revision);
    showFaults(list, null);
    say(word("saved", { number: saved.revision }));
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    if (refused.status === 409) {
      const mine = await settle(refused.answer);
      if (mine) await save(refused.answer.newest.revision);
      else location.reload();
    } else showFaults(list, refused);
  }
}
