// Sending what waits, again and again until it has arrived; the server keeps each entry once.
import { ask, Refused } from "./net.js";
import { dropPhoto, entriesOf, photosOf, setEntries } from "./site_store.js";

/** @typedef {import("./site_store.js").Waiting} Waiting */

const AT_ONCE = 40;
const SOONEST_MS = 2_000;
const LATEST_MS = 60_000;

export class Sender {
  /** @param {string} job @param {(state: {connected: boolean | null, said: string, sent: number}) => void} told */
  constructor(job, told) {
    this.job = job;
    this.told = told;
    this.delay = SOONEST_MS;
    this.timer = 0;
    addEventListener("online", () => this.soon());
  }

  /** Try now; a try that is going on is let go on. */
  soon() {
    clearTimeout(this.timer);
    this.delay = SOONEST_MS;
    return this.#attempt();
  }

  async #attempt() {
    /** Null: nothing was asked. @type {boolean | null} */
    let connected = null;
    let said = "";
    let sent = 0;
    await navigator.locks.request(`innerleaf-site-send-${this.job}`, { ifAvailable: true }, async (lock) => {
      if (!lock) return;
      try {
        sent = await this.#all();
        if (sent) connected = true;
      } catch (failure) {
        connected = failure instanceof Refused && failure.status !== 0;
        said = failure instanceof Refused && connected ? failure.message : "";
      }
    });
    this.told({ connected, said, sent });
    const waits = (await entriesOf(this.job)).some((one) => one.state === "waiting") || (await photosOf(this.job)).length > 0;
    clearTimeout(this.timer);
    if (!waits) return;
    // The first request after the signal is back may still fail.
    this.timer = window.setTimeout(() => this.#attempt(), this.delay);
    this.delay = Math.min(2 * this.delay, LATEST_MS);
  }

  /** @returns {Promise<number>} how many were sent */
  async #all() {
    let sent = 0;
    for (const photo of await photosOf(this.job)) {
      const form = new FormData();
      form.append("file", photo.blob, "photo.jpg");
      await ask("POST", `/api/jobs/${this.job}/site/photos`, form);
      await dropPhoto(photo.digest);
    }
    for (;;) {
      const waiting = (await entriesOf(this.job)).filter((one) => one.state === "waiting").slice(0, AT_ONCE);
      if (!waiting.length) return sent;
      sent += await this.#some(waiting);
    }
  }

  /** @param {Waiting[]} waiting @returns {Promise<number>} */
  async #some(waiting) {
    try {
      const answer = await ask("POST", `/api/jobs/${this.job}/site/records`, {
        sent_at: new Date().toISOString(),
        entries: waiting.map((one) => one.entry),
      });
      const why = new Map(answer.refused.map((/** @type {{id: string, why: string}} */ one) => [one.id, one.why]));
      await setEntries(waiting.map((one) => ({ ...one, state: why.has(one.id) ? "refused" : "sent", why: why.get(one.id) ?? "" })));
      return waiting.length;
    } catch (failure) {
      if (!(failure instanceof Refused) || failure.status !== 422) throw failure;
      if (waiting.length > 1) {
        for (const one of waiting) await this.#some([one]);
      } else {
        await setEntries([{ ...waiting[0], state: "refused", why: failure.message }]);
      }
      return waiting.length;
    }
  }
}
