// The site: what is to do today, one wall, the material; kept on the device, sent when there is a signal.
import { ask, fill, pageData, Refused, say } from "./net.js";
import { button, choice, el, labelled } from "./site_forms.js";
import { wayOf } from "./site_record.js";
import { Sender } from "./site_send.js";
import { addEntry, dropEntries, entriesOf, keep, kept } from "./site_store.js";
import { showWall } from "./site_wall.js";

/** @typedef {import("./site_record.js").Told} Told */
/** @typedef {import("./site_record.js").Entry} Entry */

const { job, texts } = pageData();
const address = `/api/jobs/${job}/site`;
const element = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @type {any} */
let site = null;
/** @type {{record: any, digest: string}[]} */
let records = [];
/** @type {string[]} */
let wrong = [];
/** @type {import("./site_store.js").Waiting[]} */
let here = [];
/** @type {Map<string, any>} */
const walls = new Map();
/** @type {any[]} */
let material = [];
/** What remains to be cut, of all walls. @type {{pieces: import("./site_wall.js").Cut[], more: {item: string, length_mm: number, count: number}[]}} */
let cuts = { pieces: [], more: [] };
let connected = navigator.onLine;
let said = "";
let again = 0;
let asked = 0;

const AGAIN_MS = 30_000;
const sender = new Sender(job, async (state) => {
  connected = state.connected ?? connected;
  said = state.said;
  if (state.sent) await refresh();
  await look();
});

/** Everything told: records that arrived, then what waits here. @returns {Told[]} */
function told() {
  const arrived = records.map(({ record }) => ({ entry: record.entry, role: record.role, who: record.who, number: record.number, waits: false }));
  const known = new Set(arrived.map((one) => one.entry.id));
  const waiting = here
    .filter((one) => one.state !== "refused" && !known.has(one.id))
    .map((one) => ({ entry: one.entry, role: site?.role ?? "", who: site?.who ?? "", number: 0, waits: true }));
  return [...arrived, ...waiting];
}

/** @param {Partial<Entry> & {kind: string}} entry @param {string} [form] whose form it was: it is done with */
async function add(entry, form) {
  done = form ?? "";
  const name = /** @type {HTMLInputElement} */ (element("who")).value.trim();
  const newest = records[records.length - 1];
  await addEntry(job, { ...entry, name }, newest?.digest ?? "");
  say(texts.kept);
  await look();
  sender.soon();
}

/** Look at what the device keeps, and show it. */
async function look() {
  here = await entriesOf(job);
  const known = new Set(records.map((one) => one.record.entry.id));
  await dropEntries(here.filter((one) => one.state === "sent" && known.has(one.id)).map((one) => one.id));
  status();
  show();
}

function status() {
  const waiting = here.filter((one) => one.state === "waiting").length;
  const refused = here.filter((one) => one.state === "refused");
  element("state").textContent = [
    texts[connected ? "connected" : "no_signal"],
    waiting ? fill(texts.waiting, { count: waiting }) : texts.all_sent,
    said,
  ].filter(Boolean).join(" · ");
  element("state").className = connected && !waiting ? "sent" : "waits";
  element("state").dataset.waiting = String(waiting);
  element("refused").replaceChildren(...[
    ...refused.map((one) => el("li", {}, `${one.entry.kind} ${one.entry.what} ${one.entry.wall}: ${one.why} `, button(texts.discard, async () => { await dropEntries([one.id]); await look(); }, { className: "plain" }))),
    ...wrong.map((one) => el("li", {}, one)),
  ]);
  element("refused").hidden = !refused.length && !wrong.length;
}

/** The form that was kept last. */
let done = "";

/** Whether somebody has typed or chosen something in a form. @param {HTMLElement} form */
function begun(form) {
  const typed = [...form.querySelectorAll("input, textarea")].some((one) => {
    const field = /** @type {HTMLInputElement} */ (one);
    return field.files ? field.files.length > 0 : field.value !== field.defaultValue;
  });
  return typed || form.querySelector(".question [aria-pressed=true]") !== null;
}

/** What was shown last, so that nothing typed is lost while the same thing is shown again. */
let shown = "";

function show() {
  const place = element("site");
  if (!site) {
    place.replaceChildren(el("p", { className: "empty" }, texts[connected ? "loading" : "never_loaded"]));
    return;
  }
  const at = decodeURIComponent(location.hash.slice(1));
  const wall = at.startsWith("wall/") ? walls.get(at.slice(5)) : null;
  const now = JSON.stringify([at, here.map((one) => [one.id, one.state]), records.length, wall?.records, site.revision, wall?.revision, material.length, cuts, !!wall]);
  if (now === shown) return;
  const open = new Map([...place.querySelectorAll("details")].map((one) => [named(one), one.open]));
  const forms = [...place.querySelectorAll("[data-keep]")].map((one) => /** @type {HTMLElement} */ (one));
  const half = new Map(forms.filter((one) => one.dataset.keep !== done && begun(one)).map((one) => [one.dataset.keep, one]));
  done = "";
  const active = document.activeElement;
  const focused = /** @type {HTMLElement | null} */ (document.activeElement)?.getAttribute("aria-label");
  const scrolled = place.querySelector(".paper")?.scrollLeft ?? 0;
  const before = shown ? JSON.parse(shown)[0] : null;
  shown = now;
  if (at.startsWith("wall/")) {
    const data = { job, role: site.role, may: site.may_record, holds: site.holds, deviations: site.deviations, items: material, cuts: cuts.pieces, texts, told: told(), add };
    place.replaceChildren(...(wall ? showWall(data, wall) : [el("p", { className: "empty" }, texts.not_here)]));
  } else if (at === "material") {
    place.replaceChildren(...showMaterial());
  } else {
    place.replaceChildren(...showToday());
  }
  if (before === at) {
    for (const one of place.querySelectorAll("details")) if (open.has(named(one))) one.open = !!open.get(named(one));
    for (const one of place.querySelectorAll("[data-keep]")) {
      const old = half.get(/** @type {HTMLElement} */ (one).dataset.keep);
      if (old) one.replaceWith(old);
    }
    if (active instanceof HTMLElement && place.contains(active)) active.focus({ preventScroll: true });
    const again = focused ? place.querySelector(`[aria-label="${CSS.escape(focused)}"]`) : null;
    if (again instanceof HTMLElement) again.focus({ preventScroll: true });
    const paper = place.querySelector(".paper");
    if (paper) paper.scrollLeft = scrolled;
  } else {
    scrollTo(0, 0);
  }
  for (const link of document.querySelectorAll("#places a")) {
    if (/** @type {HTMLAnchorElement} */ (link).hash.slice(1) === at) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
}

/** @param {Element} one */
function named(one) {
  return one.getAttribute("data-keep") ?? one.querySelector("summary")?.textContent?.replace(/\d+/g, "") ?? "";
}

function showToday() {
  const crews = [...new Set(site.tasks.map((/** @type {any} */ one) => one.crew).filter(Boolean))];
  const crew = localStorage.getItem(`innerleaf-crew-${job}`) ?? "";
  const today = new Date().toISOString().slice(0, 10);
  const tasks = site.tasks.filter((/** @type {any} */ one) => one.start.slice(0, 10) <= today && today <= one.end.slice(0, 10) && (!crew || !one.crew || one.crew === crew));
  const pick = Object.assign(choice([["", texts.every_crew], ...crews.map((one) => /** @type {[string, string]} */ ([String(one), String(one)]))]), { value: crew });
  pick.addEventListener("change", () => { localStorage.setItem(`innerleaf-crew-${job}`, pick.value); shown = ""; show(); });
  const all = told();
  return [
    el("h1", { tabIndex: -1 }, texts.today),
    crews.length ? labelled(texts.crew, pick) : el("p", { className: "hint" }, texts.no_programme),
    ...(crews.length && !tasks.length ? [el("p", { className: "empty" }, texts.nothing_today)] : []),
    el("ul", { className: "tasks" }, ...tasks.map((/** @type {any} */ one) => el("li", {}, el("a", { href: one.wall ? `#wall/${encodeURIComponent(one.wall)}` : "#" }, el("strong", {}, one.step), ` ${one.room} ${one.wall} · ${one.crew}`)))),
    el("h2", {}, texts.walls),
    el("ul", { className: "tasks", id: "walls" }, ...site.walls.filter((/** @type {any} */ one) => one.ready).map((/** @type {any} */ one) => wallLink(one, all))),
  ];
}

/** @param {any} line @param {Told[]} all */
function wallLink(line, all) {
  const wall = walls.get(line.id);
  const next = wall ? wayOf(line.id, wall.steps, site.holds, all).find((one) => one.state !== "done") : null;
  const state = !wall ? texts.not_here : next ? fill(texts.next, { step: next.name }) : texts.all_done;
  return el("li", {}, el("a", { href: `#wall/${encodeURIComponent(line.id)}` }, el("strong", {}, line.id), ` ${line.room} · ${state}`));
}

function showMaterial() {
  return [
    el("h1", { tabIndex: -1 }, texts.material),
    el("p", { className: "hint" }, texts.material_help),
    el("div", { className: "scroll", tabIndex: 0 }, el("table", {},
      el("thead", {}, el("tr", {}, ...["item", "needed", "left", "used", "damaged", "reorder"].map((name) => el("th", { scope: "col" }, texts[name])))),
      el("tbody", {}, ...material.map((/** @type {any} */ one) => el("tr", { className: one.short ? "short" : "" },
        el("th", { scope: "row" }, one.item), ...[one.needed, one.left ?? "–", one.used, one.damaged, one.short].map((value) => el("td", {}, `${value} ${typeof value === "number" ? one.unit : ""}`))))))),
    el("h2", {}, texts.more),
    el("p", { className: "hint" }, cuts.more.length ? texts.more_help : texts.more_none),
    el("ul", { className: "cuts" }, ...cuts.more.map((one) => el("li", {}, el("strong", {}, fill(texts.more_line, { count: one.count, item: one.item, length: one.length_mm }))))),
  ];
}

/** Fetch everything anew, and keep it; what cannot be fetched stays as it was. */
async function refresh() {
  clearTimeout(again);
  try {
    site = await ask("GET", address);
    await keep(`site:${job}`, site);
    ({ records, wrong } = await ask("GET", `${address}/records`));
    await keep(`records:${job}`, { records, wrong });
    await look();
    const at = decodeURIComponent(location.hash.slice(1)).replace("wall/", "");
    const order = site.walls.filter((/** @type {any} */ one) => one.ready).map((/** @type {any} */ one) => one.id);
    for (const id of [at, ...order.filter((/** @type {string} */ one) => one !== at)].filter((one) => order.includes(one))) await fetchWall(id);
    material = await ask("GET", `${address}/material`);
    await keep(`material:${job}`, material);
    element("site").dataset.ready = "yes";
    connected = true;
    said = "";
    void fetchCuts();
  } catch (failure) {
    connected = failure instanceof Refused && failure.status !== 0;
    said = connected && failure instanceof Error ? failure.message : "";
    again = window.setTimeout(refresh, AGAIN_MS);
  }
  await look();
}

/** What remains to be cut takes a moment to be nested: nothing waits for it. */
async function fetchCuts() {
  const mine = ++asked;
  try {
    const found = await ask("GET", `${address}/cuts`);
    if (mine !== asked) return;
    cuts = found;
  } catch {
    return; // it stays as it was, and is asked for with everything else again
  }
  await keep(`cuts:${job}`, cuts);
  await look();
}

/** A wall whose records or job have changed since it was fetched. @param {string} id */
async function fetchWall(id) {
  const own = records.filter((one) => one.record.entry.wall === id);
  const newest = own.length ? own[own.length - 1].record.number : 0;
  const known = walls.get(id);
  const drawn = `${site.revision} ${site.sheets}`;
  if (known && known.records >= newest && known.revision === drawn) return;
  const wall = { ...(await ask("GET", `${address}/walls/${encodeURIComponent(id)}`)), revision: drawn };
  walls.set(id, wall);
  await keep(`wall:${job}:${id}`, wall);
  await look();
}

async function begin() {
  const who = /** @type {HTMLInputElement} */ (element("who"));
  who.value = localStorage.getItem("innerleaf-site-who") ?? "";
  who.addEventListener("input", () => localStorage.setItem("innerleaf-site-who", who.value.trim()));
  addEventListener("hashchange", () => show());
  addEventListener("online", () => refresh());
  addEventListener("offline", () => { connected = false; status(); });
  site = await kept(`site:${job}`);
  ({ records, wrong } = (await kept(`records:${job}`)) ?? { records: [], wrong: [] });
  material = (await kept(`material:${job}`)) ?? [];
  cuts = (await kept(`cuts:${job}`)) ?? cuts;
  for (const one of site?.walls ?? []) {
    const wall = await kept(`wall:${job}:${one.id}`);
    if (wall) walls.set(one.id, wall);
  }
  await look();
  if (!("serviceWorker" in navigator)) say(texts.no_worker, true);
  else navigator.serviceWorker.register("/sw.js").then(async () => {
    await navigator.serviceWorker.ready;
    element("site").dataset.offline = "ready";
  }).catch(() => say(texts.no_worker, true));
  navigator.storage?.persist?.();
  await refresh();
  sender.soon();
}

begin();
