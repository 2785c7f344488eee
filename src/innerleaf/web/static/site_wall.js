// One wall on site: its drawing, steps and hold points, checks, what is elsewhere than drawn, what was used.
import { fill } from "./net.js";
import { button, checkForm, choice, el, figureField, figureOf, labelled, verdict } from "./site_forms.js";
import { smaller } from "./site_photo.js";
import { standing, wayOf } from "./site_record.js";
import { addPhoto } from "./site_store.js";

/** @typedef {import("./site_record.js").Told} Told */
/** @typedef {import("./site_record.js").Hold} Hold */
/** @typedef {import("./site_record.js").Step} Step */
/** @typedef {import("./site_record.js").Check} Check */
/** @typedef {import("./site_forms.js").Add} Add */
/** @typedef {{mark: string, what: string, layer: number, x_mm: number, size: string, built: boolean}} Piece */
/**
 * @typedef {{id: string, room: string, records: number, steps: string[], checks: Check[], drawings: Record<string, string>,
 *   members: Piece[], boards: Piece[], openings: string[], boxes: string[],
 *   findings: {code: string, text: string, remedy: string}[]}} Wall
 */
/**
 * @typedef {{job: string, role: string, may: boolean, holds: Hold[], deviations: Record<string, string[]>,
 *   items: {item: string, unit: string}[], cuts: Cut[], texts: Record<string, string>, told: Told[], add: (said: Partial<import("./site_record.js").Entry> & {kind: string}, form?: string) => Promise<void>}} Site
 */

/** @typedef {{wall: string, mark: string, item: string, size: string, kind: string, number: number, stock_mm: number, offcut: string, in_hand: boolean, cut: boolean}} Cut */

let view = "frame";
let near = 1;

/** @param {Site} site @param {Wall} wall @returns {Node[]} */
export function showWall(site, wall) {
  const { texts } = site;
  /** Whose form it was: it is shown anew, while what is typed into others stays. @param {string} [form] @returns {Add} */
  const from = (form) => (said) => site.add({ wall: wall.id, ...said }, form);
  const add = from();
  const own = site.told.filter((one) => one.entry.wall === wall.id);
  const parts = [
    el("h1", { tabIndex: -1 }, fill(texts.wall, { id: wall.id, room: wall.room })),
    drawing(site, wall),
    part(texts.steps, true, steps(site, wall, add)),
    part(texts.checks, true, ...wall.checks.map((check) => checkPart(site, wall, check, from(`${check.check} ${check.step}`)))),
    part(texts.pieces, false, pieces(site, wall, own, add)),
    part(fill(texts.cuts, { count: site.cuts.filter((one) => one.wall === wall.id).length }), false, ...cuts(site, wall)),
    part(texts.elsewhere, false, kept("elsewhere", deviation(site, wall, from("elsewhere")))),
    part(texts.material_here, false, kept("material", material(site, from("material")))),
    part(texts.hours_note, false, kept("hours", hours(site, wall, from("hours"))), kept("note", note(site, from("note")))),
    part(fill(texts.findings, { count: wall.findings.length }), false, ...wall.findings.map((one) => el("p", { className: "finding" }, el("strong", {}, one.code), ` ${one.text} · ${one.remedy}`))),
    part(fill(texts.records_here, { count: own.length }), false, records(site, own, add)),
  ];
  return parts;
}

/** What of the wall is still to be cut, and from what. @param {Site} site @param {Wall} wall @returns {Node[]} */
function cuts(site, wall) {
  const { texts } = site;
  const own = site.cuts.filter((one) => one.wall === wall.id);
  if (!own.length) return [el("p", { className: "empty" }, texts.cuts_none)];
  return [
    el("p", { className: "hint" }, texts.cuts_help),
    el("ul", { className: "cuts" }, ...own.map((one) => el("li", {}, el("strong", {}, one.mark), ` ${one.size} · ${one.item}`, el("br"), whence(site, one)))),
  ];
}

/** @param {Site} site @param {Cut} one */
function whence({ texts }, one) {
  if (one.cut) return texts.cut_already;
  const named = fill(one.kind === "bar" ? texts.cut_bar : texts.cut_board, { number: one.number, stock: one.stock_mm });
  if (one.offcut) return fill(texts.cut_offcut, { mark: one.offcut, stock: one.stock_mm });
  return `${named} · ${one.in_hand ? texts.cut_in_hand : texts.cut_more}`;
}

/** @param {string} title @param {boolean} open @param {...Node} inside */
function part(title, open, ...inside) {
  return el("details", { className: "part", open, "data-part": title }, el("summary", {}, title), ...inside);
}

/** A form whose typed words outlive that the page is shown anew. @param {string} name @param {HTMLElement} form */
function kept(name, form) {
  form.dataset.keep = name;
  return form;
}

/** The drawing, as large as one wants it; beneath it the views. @param {Site} site @param {Wall} wall */
function drawing(site, wall) {
  const { texts } = site;
  const place = el("div", { className: "paper", tabIndex: 0, "aria-label": texts.drawing });
  place.setAttribute("role", "group");
  const size = () => {
    const svg = place.querySelector("svg");
    if (!svg) return;
    // Words of 2.8 mm are read at arm's length from 17 px on.
    svg.style.width = `max(100%, ${Math.round(Number(svg.getAttribute("viewBox").split(" ")[2]) * 6 * near)}px)`;
  };
  const show = (/** @type {string} */ name) => {
    view = name in wall.drawings ? name : "frame";
    place.innerHTML = wall.drawings[view];
    size();
  };
  const views = Object.keys(wall.drawings).map((name) => {
    const made = button(name === "frame" ? texts.frame : fill(texts.boards, { layer: name.split("-")[1] }), () => {
      show(name);
      for (const other of views) other.setAttribute("aria-pressed", String(other === made));
    }, { className: "plain", "aria-pressed": String(name === view) });
    return made;
  });
  show(view);
  const closer = (/** @type {number} */ by) => { near = Math.min(6, Math.max(0.3, near * by)); size(); };
  return el("section", { className: "drawing" },
    el("div", { className: "row-of" }, ...views, button(texts.closer, () => closer(1.3), { className: "plain" }), button(texts.farther, () => closer(1 / 1.3), { className: "plain" })),
    place);
}

/** @param {Site} site @param {Wall} wall @param {Add} add */
function steps(site, wall, add) {
  const list = el("ol", { className: "way" });
  for (const step of wayOf(wall.id, wall.steps, site.holds, site.told)) {
    list.append(step.hold ? holdItem(site, step, step.hold, add) : stepItem(site, step, add));
  }
  return list;
}

/** @param {Site} site @param {Step} step @param {Add} add */
function stepItem(site, step, add) {
  const { texts } = site;
  const by = step.by ? said(step.by, texts) : step.why ? fill(texts[step.state === "blocked" ? "held_by" : "waits_for"], { what: step.why }) : "";
  const done = site.may && (step.state === "open" || step.state === "later")
    ? button(texts.tick, () => add({ kind: "done", what: step.name }), { className: step.state === "open" ? "big" : "big plain", "aria-label": `${texts.tick}: ${step.name}` })
    : null;
  return el("li", { className: step.state, "data-step": step.name }, el("span", { className: "name" }, `${sign(step.state)} ${step.name}`), el("span", { className: "by" }, by), done);
}

/** @param {Site} site @param {Step} step @param {Hold} hold @param {Add} add */
function holdItem(site, step, hold, add) {
  const { texts, role } = site;
  const why = el("input", { type: "text", maxLength: 500 });
  const tell = (/** @type {string} */ outcome) => add({ kind: "hold", what: hold.id, outcome, text: why.value.trim() });
  const release = button(texts.release, () => (why.value.trim() ? tell("released") : why.focus()), { className: "big plain", "aria-label": `${texts.release}: ${hold.id}` });
  const passing = hold.passes.includes(role);
  const inside = step.state === "open" && site.may
    ? [
        el("p", {}, hold.text),
        passing || hold.may_release.includes(role) ? labelled(texts.reason, why) : el("p", { className: "hint" }, fill(texts.passed_by, { roles: hold.passes.join(", ") })),
        el("div", { className: "row-of" },
          passing && button(texts.pass, () => tell("passed"), { className: "big", "aria-label": `${texts.pass}: ${hold.id}` }),
          passing && button(texts.fail, () => tell("failed"), { className: "big plain", "aria-label": `${texts.fail}: ${hold.id}` }),
          hold.may_release.includes(role) && release),
      ]
    : [];
  const by = step.by ? said(step.by, texts) : "";
  return el("li", { className: `hold ${step.state}`, "data-step": hold.id }, el("span", { className: "name" }, `${step.state === "done" ? "✓" : "◆"} ${texts.hold}: ${hold.id}`), el("span", { className: "by" }, by), ...inside);
}

/** @param {string} state */
function sign(state) {
  return state === "done" ? "✓" : state === "blocked" ? "◆" : "○";
}

/** Who said it, and whether it waits. @param {Told} one @param {Record<string, string>} texts */
function said(one, texts) {
  const name = one.entry.name || one.who;
  const at = one.entry.device_time.slice(0, 16).replace("T", " ");
  return [one.entry.outcome, name, at, one.waits ? texts.waits : ""].filter(Boolean).join(" · ");
}

/** @param {Site} site @param {Wall} wall @param {Check} check @param {Add} add */
function checkPart(site, wall, check, add) {
  const { texts } = site;
  const made = standing(site.told).filter((one) => one.entry.kind === "check" && one.entry.wall === wall.id && one.entry.what === check.check && one.entry.mark === check.step);
  const last = made[made.length - 1];
  const good = last ? last.entry.judged.every((one) => (one.at_most ? one.value <= one.limit : one.value >= one.limit)) : null;
  // What was not good and is checked again answers for the first time.
  const again = /** @type {Add} */ ((entry) => add({ ...entry, about: good === false ? last.entry.id : "" }));
  const photos = photoField(site);
  const state = good === null ? "○" : good ? "✓" : "✗";
  return el("details", { className: "one-check", "data-check": check.check, "data-keep": `${check.check} ${check.step}` },
    el("summary", {}, `${state} ${check.text} · ${check.step}`),
    ...(last ? [...last.entry.judged.map((one) => el("div", {}, one.unit === "yes" ? "" : `${one.value} ${one.unit}`, verdict(one, texts))), el("p", { className: "by" }, said(last, texts))] : []),
    ...(site.may ? [checkForm(check, texts, again, photos.taken), photos.field] : []));
}

/** A photo to go with an entry: made small at once, kept on the device. @param {Site} site */
function photoField(site) {
  const input = el("input", { type: "file", accept: "image/*", multiple: true });
  input.setAttribute("capture", "environment");
  const taken = async () => {
    const keys = [];
    for (const file of input.files ?? []) keys.push(await addPhoto(site.job, await smaller(file)));
    return keys;
  };
  return { field: labelled(site.texts.photo, input), taken };
}

/** Board by board, stud by stud. @param {Site} site @param {Wall} wall @param {Told[]} own @param {Add} add */
function pieces(site, wall, own, add) {
  const { texts } = site;
  const ticked = new Set(standing(own).filter((one) => one.entry.kind === "done" && one.entry.mark).map((one) => one.entry.mark));
  const line = (/** @type {Piece} */ piece, /** @type {string} */ what) => {
    const done = piece.built || ticked.has(piece.mark);
    const name = `${piece.mark} · ${piece.what} · ${piece.size} · x ${Math.round(piece.x_mm)}`;
    return el("li", { className: done ? "done" : "open" }, el("span", { className: "name" }, `${done ? "✓" : "○"} ${name}`),
      !done && site.may && button(texts.tick, () => add({ kind: "done", what, mark: piece.mark }), { className: "big plain", "aria-label": `${texts.tick}: ${piece.mark}` }));
  };
  return el("ul", { className: "way" }, ...wall.members.map((one) => line(one, "frame")), ...wall.boards.map((one) => line(one, `board layer ${one.layer}`)));
}

/** @param {Site} site @param {Wall} wall @param {Add} add */
function deviation(site, wall, add) {
  const { texts } = site;
  const marks = (/** @type {string} */ what) =>
    what.startsWith("stud") && what !== "stud added" ? wall.members.map((one) => /** @type {[string, string]} */ ([one.mark, `${one.mark} · ${one.what} · x ${Math.round(one.x_mm)}`]))
    : what.startsWith("board") ? wall.boards.map((one) => /** @type {[string, string]} */ ([one.mark, `${one.mark} · ${one.size}`]))
    : what.startsWith("opening") ? wall.openings.map((one) => /** @type {[string, string]} */ ([one, one]))
    : what.startsWith("box") ? wall.boxes.map((one) => /** @type {[string, string]} */ ([one, one])) : [];
  const what = choice(Object.keys(site.deviations).map((one) => [one, one]));
  const place = el("div");
  const why = el("input", { type: "text", maxLength: 500 });
  const photos = photoField(site);
  const form = el("form", {}, el("p", { className: "hint" }, texts.elsewhere_help), labelled(texts.what, what), place, labelled(texts.note, why), photos.field, el("button", { className: "big", disabled: !site.may }, texts.keep_deviation));
  const show = () => {
    const of = marks(what.value);
    place.replaceChildren(
      ...(of.length ? [labelled(texts.piece, Object.assign(choice(of), { name: "mark" }))] : []),
      ...site.deviations[what.value].map((name) => {
        const { input, shown } = figureField(name, "mm");
        number += 1;
        input.id = `deviation-${number}`;
        return el("div", { className: "field" }, el("label", { htmlFor: input.id }, texts[name] ?? name), shown);
      }));
  };
  what.addEventListener("change", show);
  form.addEventListener("submit", async (/** @type {Event} */ event) => {
    event.preventDefault();
    const values = Object.fromEntries([...place.querySelectorAll("input")].map((one) => [one.name, figureOf(one.value)]).filter(([, value]) => Number.isFinite(value)));
    await add({ kind: "deviation", what: what.value, mark: place.querySelector("select")?.value ?? "", values, text: why.value.trim(), photos: await photos.taken() });
  });
  show();
  return form;
}

let number = 0;

/** Used, left, damaged. @param {Site} site @param {Add} add */
function material(site, add) {
  const { texts } = site;
  const kind = choice([["used", texts.used], ["left", texts.left], ["damage", texts.damage]]);
  const item = site.items.length ? choice(site.items.map((one) => [one.item, `${one.item} (${one.unit})`])) : el("input", { type: "text", maxLength: 200 });
  const { input, shown } = figureField("quantity", "");
  input.id = "quantity";
  const why = el("input", { type: "text", maxLength: 500 });
  const photos = photoField(site);
  const form = el("form", {}, labelled(texts.what, kind), labelled(texts.item, item), el("div", { className: "field" }, el("label", { htmlFor: "quantity" }, texts.quantity), shown), labelled(texts.note, why), photos.field, el("button", { className: "big", disabled: !site.may }, texts.keep));
  form.addEventListener("submit", async (/** @type {Event} */ event) => {
    event.preventDefault();
    const quantity = figureOf(input.value);
    if (!Number.isFinite(quantity)) return input.focus();
    await add({ kind: kind.value, what: item.value, values: { quantity }, text: why.value.trim(), photos: await photos.taken() });
  });
  return form;
}

/** @param {Site} site @param {Wall} wall @param {Add} add */
function hours(site, wall, add) {
  const { texts } = site;
  const { input, shown } = figureField("hours", "h");
  input.id = "hours";
  const what = choice(wall.steps.map((one) => [one, one]));
  const form = el("form", {}, labelled(texts.work, what), el("div", { className: "field" }, el("label", { htmlFor: "hours" }, texts.hours), shown), el("button", { className: "big", disabled: !site.may }, texts.keep_hours));
  form.addEventListener("submit", (/** @type {Event} */ event) => {
    event.preventDefault();
    const value = figureOf(input.value);
    if (!(value > 0)) return input.focus();
    return add({ kind: "hours", what: what.value, values: { hours: value } });
  });
  return form;
}

/** @param {Site} site @param {Add} add */
function note(site, add) {
  const { texts } = site;
  const text = el("textarea", { rows: 2, maxLength: 2000 });
  const photos = photoField(site);
  const form = el("form", {}, labelled(texts.note, text), photos.field, el("button", { className: "big", disabled: !site.may }, texts.keep_note));
  form.addEventListener("submit", async (/** @type {Event} */ event) => {
    event.preventDefault();
    const keys = await photos.taken();
    if (!text.value.trim() && !keys.length) return text.focus();
    return add({ kind: keys.length ? "photo" : "note", text: text.value.trim(), photos: keys });
  });
  return form;
}

/** @param {Site} site @param {Told[]} own @param {Add} add */
function records(site, own, add) {
  const { texts } = site;
  const gone = new Set(own.filter((one) => one.entry.kind === "withdrawn").map((one) => one.entry.about));
  return el("ol", { className: "told" }, ...own.toReversed().map((one) => {
    const { entry } = one;
    const values = Object.entries(entry.values).map(([name, value]) => `${name.replace("_", " ")} ${value}`).join(", ");
    const words = [entry.kind, entry.what, entry.mark, values, entry.text].filter(Boolean).join(" · ");
    const open = site.may && entry.kind !== "withdrawn" && !gone.has(entry.id);
    return el("li", { className: gone.has(entry.id) ? "gone" : "" }, el("span", {}, words), el("span", { className: "by" }, said(one, texts)),
      ...entry.photos.map((key) => el("a", { href: `/api/jobs/${site.job}/site/photos/${key}`, className: "button plain" }, texts.photo_shown)),
      open && entry.kind === "check" && entry.judged.some((each) => (each.at_most ? each.value > each.limit : each.value < each.limit)) && button(texts.accept, () => reasoned(texts, (text) => add({ kind: "accepted", about: entry.id, text })), { className: "plain" }),
      open && entry.kind === "deviation" && button(texts.accept, () => reasoned(texts, (text) => add({ kind: "accepted", about: entry.id, text })), { className: "plain" }),
      open && button(texts.withdraw, () => reasoned(texts, (text) => add({ kind: "withdrawn", about: entry.id, text })), { className: "plain", "aria-label": `${texts.withdraw}: ${words}` }));
  }));
}

/** Ask for a reason, then go on. @param {Record<string, string>} texts @param {(text: string) => unknown} then */
function reasoned(texts, then) {
  const why = el("input", { type: "text", required: true, maxLength: 500 });
  const form = el("form", { method: "dialog" }, labelled(texts.reason, why), el("div", { className: "row-of" }, el("button", { className: "big" }, texts.keep), button(texts.never_mind, () => dialog.close(), { className: "big plain" })));
  const dialog = el("dialog", { "aria-label": texts.reason }, form);
  form.addEventListener("submit", () => then(why.value.trim()));
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
}
