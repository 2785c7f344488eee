// What a device keeps: entries and photos that wait, and what it knows of a job. All of it survives the tab.
import { canonical, digest, short } from "./site_record.js";

/** @typedef {import("./site_record.js").Entry} Entry */
/** @typedef {{id: string, job: string, entry: Entry, state: "waiting" | "sent" | "refused", why: string}} Waiting */
/** @typedef {{digest: string, job: string, blob: Blob}} Photo */

const NAME = "innerleaf-site";
const STORES = { entries: "id", devices: "job", photos: "digest", kept: "key" };

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

/** @returns {Promise<IDBDatabase>} */
function database() {
  opened ??= new Promise((resolve, reject) => {
    const asking = indexedDB.open(NAME, 1);
    asking.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) asking.result.createObjectStore(name, { keyPath });
    };
    asking.onsuccess = () => resolve(asking.result);
    asking.onerror = () => reject(asking.error);
  });
  return opened;
}

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
function answer(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Write several values at once: all of them or none, and on the disk. @param {Record<string, any[]>} values @param {Record<string, string[]>} [gone] */
async function write(values, gone = {}) {
  const names = [...new Set([...Object.keys(values), ...Object.keys(gone)])];
  const transaction = (await database()).transaction(names, "readwrite", { durability: "strict" });
  for (const [name, some] of Object.entries(values)) for (const one of some) transaction.objectStore(name).put(one);
  for (const [name, keys] of Object.entries(gone)) for (const key of keys) transaction.objectStore(name).delete(key);
  await new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve(undefined);
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
}

/** @param {string} store @param {string} key */
async function read(store, key) {
  return answer((await database()).transaction(store).objectStore(store).get(key));
}

/** @param {string} store @returns {Promise<any[]>} */
async function readAll(store) {
  return answer((await database()).transaction(store).objectStore(store).getAll());
}

/**
 * Keep an entry; it gets its id, its number on this device and the digest of the one before.
 * @param {string} job @param {Partial<Entry> & {kind: string}} said @param {string} seen
 */
export async function addEntry(job, said, seen) {
  return navigator.locks.request(`innerleaf-site-${job}`, async () => {
    const device = (await read("devices", job)) ?? { job, device: crypto.randomUUID(), sequence: 0, before: "" };
    const values = Object.fromEntries(Object.entries(said.values ?? {}).map(([name, value]) => [name, short(value)]));
    /** @type {Entry} */
    const entry = {
      name: "", wall: "", mark: "", what: "", judged: [], outcome: "", text: "", photos: [], about: "",
      ...said,
      values,
      id: crypto.randomUUID(),
      device: device.device,
      sequence: device.sequence + 1,
      before: device.before,
      seen,
      device_time: new Date().toISOString(),
    };
    const next = { ...device, sequence: entry.sequence, before: await digest(canonical(entry)) };
    /** @type {Waiting} */
    const waiting = { id: entry.id, job, entry, state: "waiting", why: "" };
    await write({ entries: [waiting], devices: [next] });
    return waiting;
  });
}

/** Entries of a job that are here, in the order in which they were made. @param {string} job @returns {Promise<Waiting[]>} */
export async function entriesOf(job) {
  const all = (await readAll("entries")).filter((one) => one.job === job);
  return all.sort((a, b) => a.entry.sequence - b.entry.sequence);
}

/** Note what became of entries. @param {Waiting[]} entries */
export async function setEntries(entries) {
  await write({ entries });
}

/** Forget entries: they have come back as records. @param {string[]} ids */
export async function dropEntries(ids) {
  if (ids.length) await write({}, { entries: ids });
}

/** Keep a photo until it is sent; its digest. @param {string} job @param {Blob} blob */
export async function addPhoto(job, blob) {
  const key = await digest(await blob.arrayBuffer());
  await write({ photos: [{ digest: key, job, blob }] });
  return key;
}

/** Photos of a job that wait. @param {string} job @returns {Promise<Photo[]>} */
export async function photosOf(job) {
  return (await readAll("photos")).filter((one) => one.job === job);
}

/** @param {string} key */
export async function dropPhoto(key) {
  await write({}, { photos: [key] });
}

/** What was kept of a job under a name; null if nothing. @param {string} key @returns {Promise<any>} */
export async function kept(key) {
  return (await read("kept", key))?.value ?? null;
}

/** @param {string} key @param {any} value */
export async function keep(key, value) {
  await write({ kept: [{ key, value }] });
}
