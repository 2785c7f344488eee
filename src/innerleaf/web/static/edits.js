// Changes on their way to the server: none is lost when it does not answer for a while.
import { Refused, word } from "./net.js";

const SOON_MS = 2000;
const LATE_MS = 15000;
/** No server, or one that is starting; 401: the session is over, and another tab can begin a new one. */
const AWAY = [0, 401, 502, 503, 504];

/**
 * Values to be saved, the latest of each field. They go one after the other, each made on what the one before
 * gave; while the server is away they stay, are tried again, and a banner says so.
 */
export class Edits {
  /** @type {Map<string, any>} */
  #waiting = new Map();
  /** @type {Promise<unknown>} */
  #last = Promise.resolve();

  /** @param {(field: string, value: any) => Promise<void>} send */
  constructor(send) {
    this.send = send;
    addEventListener("beforeunload", (event) => {
      if (this.#waiting.size) event.preventDefault(); // the browser asks whether to leave
    });
  }

  /** Values not saved yet, by field. @returns {Record<string, any>} */
  get waiting() {
    return Object.fromEntries(this.#waiting);
  }

  /** Have a value saved; resolves when it is, throws what was refused. @param {string} field @param {any} value */
  put(field, value) {
    this.#waiting.delete(field);
    this.#waiting.set(field, value);
    return this.inTurn(() => this.#all());
  }

  /** Do something once all before is done. @template T @param {() => Promise<T>} work @returns {Promise<T>} */
  inTurn(work) {
    const done = this.#last.then(work);
    this.#last = done.catch(() => {});
    return done;
  }

  async #all() {
    for (let pause = SOON_MS; this.#waiting.size;) {
      const [field, value] = /** @type {[string, any]} */ (this.#waiting.entries().next().value);
      try {
        await this.send(field, value);
        banner("");
        pause = SOON_MS;
      } catch (refused) {
        if (refused instanceof Refused && AWAY.includes(refused.status)) {
          banner(word(refused.status === 401 ? "signed_out" : "away", { count: this.#waiting.size }));
          await back(pause);
          pause = Math.min(2 * pause, LATE_MS);
          continue;
        }
        if (this.#waiting.get(field) === value) this.#waiting.delete(field);
        throw refused;
      }
      if (this.#waiting.get(field) === value) this.#waiting.delete(field);
    }
  }
}

/** A while, or until the device has a connection again. @param {number} most_ms @returns {Promise<void>} */
function back(most_ms) {
  return new Promise((resolve) => {
    const go = () => {
      clearTimeout(timer);
      removeEventListener("online", go);
      resolve();
    };
    const timer = setTimeout(go, most_ms);
    addEventListener("online", go);
  });
}

/** A sentence that stays at the top of the page; "" takes it away. @param {string} sentence */
function banner(sentence) {
  let place = document.getElementById("banner");
  if (!sentence) return place?.remove();
  if (!place) {
    place = Object.assign(document.createElement("p"), { id: "banner", role: "alert" });
    document.getElementById("content")?.before(place);
  }
  if (place.textContent !== sentence) place.textContent = sentence;
}
