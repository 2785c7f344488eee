// Bringing an earlier revision back.
import { ask, Refused, say } from "./net.js";

const lines = document.getElementById("lines");
lines?.addEventListener("click", async (event) => {
  const button = /** @type {Element} */ (event.target).closest("button");
  if (!button) return;
  try {
    await ask("POST", `/api/jobs/${lines.dataset.job}/restore`, { number: Number(button.dataset.number) });
    location.reload();
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    say(refused.message, true);
  }
});
