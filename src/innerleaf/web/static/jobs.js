// Bringing in a job: its files go up together; what is wrong with them is listed.
import { ask, Refused, showFaults } from "./net.js";

const form = document.getElementById("bring");
form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const list = form.querySelector(".faults");
  try {
    const made = await ask("POST", "/api/jobs", new FormData(/** @type {HTMLFormElement} */ (form)));
    location.assign(`/jobs/${made.id}`);
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    showFaults(list, refused);
  }
});
