// The programme: charts of rooms over days with a table equal to them, day plans of crews, changes looked at.
import { ask, fill, pageData, Refused, say, showFaults } from "./net.js";

/** @typedef {{id: string, step: string, kind: string, room: string, room_name: string, storey: string, wall: string, crew: string, people: number, hours: number, start: string, end: string, dry_at: string, state: string, after: string[], phase: string, from: number, to: number}} Operation */
/** @typedef {{words: string, finish: string, days_later: number, returns: number, overtime_hours: number, findings: number}} Outcome */

const { job, texts } = pageData();
const PHASES = ["frame", "others", "boards", "joints", "finish"];
const LANE = 9, ROW = PHASES.length * LANE + 6, HEAD = 34;
const NAMESPACE = "http://www.w3.org/2000/svg";

/** @type {any} */
let made = null;
let wide = 26;

/** @template {Element} T @param {string} id @param {new () => T} kind */
function the(id, kind) {
  const found = document.getElementById(id);
  if (!(found instanceof kind)) throw new Error(id);
  return found;
}
const working = the("working", HTMLDivElement);
const crewBox = the("crew", HTMLSelectElement), roomBox = the("room", HTMLSelectElement);
const dayCrew = the("day-crew", HTMLSelectElement), dayDay = the("day-day", HTMLSelectElement);

/** @param {string} words */
async function have(words) {
  try {
    const run = await ask("POST", `/api/jobs/${job}/runs/programme`, { words });
    showFaults(document.getElementById("refused"), null);
    if (run.state === "done") await show(run.id);
    else follow(run.id);
  } catch (refused) {
    if (!(refused instanceof Refused)) throw refused;
    if (made) showFaults(document.getElementById("refused"), refused);
    else tell(refused.answer.faults?.join("\n") || refused.message);
  }
}

/** @param {string} text @param {string} [name] */
function tell(text, name = "notice") {
  working.replaceChildren(Object.assign(document.createElement("p"), { className: name, textContent: text }));
}

/** @param {string} id */
function follow(id) {
  tell(texts.working, "empty");
  const events = new EventSource(`/api/runs/${id}/events`);
  events.addEventListener("far", (event) => {
    const run = JSON.parse(event.data);
    tell(`${texts.working} ${run.doing} ${run.of ? `${run.done} / ${run.of}` : ""}`, "empty");
  });
  events.addEventListener("end", (event) => {
    events.close();
    const run = JSON.parse(event.data);
    if (run.state === "done") show(run.id);
    else tell(run.error || texts.stopped);
  });
}

/** @param {string} id */
async function show(id) {
  const answer = await fetch(`/api/runs/${id}/files/programme.json`);
  if (!answer.ok) return tell(texts.stopped);
  const data = await answer.json();
  made = data.programme;
  working.replaceChildren();
  the("programme", HTMLDivElement).hidden = false;
  const gap = made.proven ? texts.proven : fill(texts.gap, { percent: (made.gap * 100).toFixed(1) });
  the("sum", HTMLParagraphElement).textContent = fill(texts.sum, { start: made.start, finish: made.finish, days: made.working_days, bound: made.bound_days, gap, hours: made.hours, returns: made.returns });
  the("papers", HTMLUListElement).replaceChildren(...["programme.pdf", "day-plans.pdf", "programme.ics", "call-offs.csv"].map((name) => {
    const link = Object.assign(document.createElement("a"), { href: `/api/runs/${id}/files/${name}`, textContent: name });
    return element("li", {}, [link]);
  }));
  choices(crewBox, made.operations.map((/** @type {Operation} */ one) => [one.crew, one.crew]), texts.all);
  choices(roomBox, made.operations.map((/** @type {Operation} */ one) => [one.room, `${one.room_name}, ${one.storey}`]), texts.all);
  choices(dayCrew, made.operations.map((/** @type {Operation} */ one) => [one.crew, one.crew]), "");
  whole();
  dayChoices();
  callOffs();
  findings();
  outcomes(data.what_if);
}

/** Words to choose from, each once, what was chosen kept. @param {HTMLSelectElement} box @param {[string, string][]} pairs @param {string} all */
function choices(box, pairs, all) {
  const before = box.value, known = new Map(pairs);
  box.replaceChildren(...(all ? [new Option(all, "")] : []), ...[...known].map(([value, text]) => new Option(text, value)));
  if (known.has(before)) box.value = before;
}

/** @returns {Operation[]} */
function shown() {
  return made.operations.filter((/** @type {Operation} */ one) => (!crewBox.value || one.crew === crewBox.value) && (!roomBox.value || one.room === roomBox.value));
}

/** @param {string} name @param {Record<string, string | number>} attributes @param {(Node | string)[]} [inside] */
function drawn(name, attributes, inside = []) {
  const node = document.createElementNS(NAMESPACE, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, String(value));
  node.append(...inside);
  return node;
}

/** @param {string} name @param {Record<string, any>} [properties] @param {(Node | string)[]} [inside] */
function element(name, properties = {}, inside = []) {
  const node = Object.assign(document.createElement(name), properties);
  node.append(...inside);
  return node;
}

/** Rooms in the order that work in them begins. @param {Operation[]} some @returns {Map<string, Operation[]>} */
function byRoom(some) {
  const rooms = new Map();
  for (const one of some) rooms.set(one.room, [...(rooms.get(one.room) ?? []), one]);
  return rooms;
}

function draw() {
  const some = shown(), rooms = byRoom(some), balance = view() === "balance";
  const row = balance ? 34 : ROW, high = HEAD + Math.max(1, rooms.size) * row + 4, days = made.days;
  const across = Math.max(1, days.length) * wide + 2;
  const names = drawn("svg", { height: high, "aria-hidden": "true" });
  const chart = drawn("svg", { width: across, height: high, role: "img", "aria-label": fill(texts.drawing, { rooms: rooms.size, operations: some.length }) });
  calendar(chart, days, high);
  const order = [...rooms];
  if (balance) order.reverse();
  order.forEach(([, work], number) => {
    const y = HEAD + number * row;
    names.append(drawn("text", { x: 0, y: y + 14 }, [work[0].room_name]), drawn("text", { x: 0, y: y + 27, class: "small" }, [work[0].storey]));
    chart.append(drawn("line", { class: "grid", x1: 0, x2: across, y1: y, y2: y }));
    if (!balance) for (const one of work) chart.append(bar(one, y));
  });
  if (balance) flows(chart, order, row);
  if (made.today) {
    const at = days.findIndex((/** @type {string} */ day) => day >= made.today);
    if (at >= 0) chart.append(drawn("line", { class: "today", x1: at * wide, x2: at * wide, y1: 0, y2: high }));
  }
  the("names", HTMLDivElement).replaceChildren(names);
  the("days", HTMLDivElement).replaceChildren(chart);
  the("key", HTMLUListElement).replaceChildren(...PHASES.map((phase) => element("li", {}, [
    drawn("svg", { viewBox: "0 0 40 14", "aria-hidden": "true", class: "chart-key" }, [drawn("rect", { class: phase, x: 0, y: 1, width: 40, height: 12 })]),
    texts[phase],
  ])));
  table(some);
}

/** @param {Operation} one @param {number} y */
function bar(one, y) {
  const x = one.from * wide, width = Math.max(1.5, (one.to - one.from) * wide);
  const lane = y + 3 + PHASES.indexOf(one.phase) * LANE;
  const words = `${one.step}${one.wall ? ` ${one.wall}` : ""}, ${one.room_name}: ${one.start} – ${one.end}, ${one.crew}`;
  return drawn("rect", { class: `bar ${one.phase}${one.kind === "hold point" ? " hold" : ""}`, x, y: lane, width, height: LANE - 2 }, [drawn("title", {}, [words])]);
}

/** @param {Element} chart @param {string[]} days @param {number} high */
function calendar(chart, days, high) {
  let week = "", free = -99;
  days.forEach((day, number) => {
    const date = new Date(`${day}T12:00:00Z`), x = number * wide;
    const monday = new Date(date.getTime() - ((date.getUTCDay() + 6) % 7) * 86400000).toISOString().slice(0, 10);
    const begins = monday !== week;
    chart.append(drawn("line", { class: begins ? "week" : "grid", x1: x, x2: x, y1: begins ? 4 : 18, y2: high }));
    if (begins && x - free > 70) {
      chart.append(drawn("text", { x: x + 3, y: 14 }, [day]));
      free = x;
    }
    if (wide >= 18) chart.append(drawn("text", { class: "small", x: x + 3, y: 29 }, [day.slice(8)]));
    week = monday;
  });
}

/** One line for each phase, from room to room. @param {Element} chart @param {[string, Operation[]][]} order @param {number} row */
function flows(chart, order, row) {
  for (const phase of PHASES) {
    /** @type {number[] | null} */
    let before = null;
    for (let number = order.length - 1; number >= 0; number -= 1) {
      const work = order[number][1].filter((one) => one.phase === phase && one.kind !== "hold point");
      if (!work.length) continue;
      const y = HEAD + (number + 1) * row;
      const low = Math.min(...work.map((one) => one.from)) * wide, up = Math.max(...work.map((one) => one.to)) * wide;
      if (before) chart.append(drawn("line", { class: "on", x1: before[0], y1: before[1], x2: low, y2: y }));
      chart.append(drawn("line", { class: `flow ${phase}`, x1: low, y1: y, x2: up, y2: y - row }, [drawn("title", {}, [`${texts[phase]}, ${work[0].room_name}`])]));
      before = [up, y - row];
    }
  }
}

/** @param {string[]} heads @param {(string | number)[][]} rows @param {number[]} [right] */
function filled(heads, rows, right = []) {
  /** @param {number} n */
  const side = (n) => (right.includes(n) ? "right" : "");
  return [
    element("thead", {}, [element("tr", {}, heads.map((head, n) => element("th", { scope: "col", className: side(n), textContent: head })))]),
    element("tbody", {}, rows.map((row) => element("tr", {}, row.map((cell, n) => element("td", { className: side(n), textContent: String(cell) }))))),
  ];
}

/** @param {Operation[]} some */
function table(some) {
  const heads = [texts.begins, texts.ends, texts.room, texts.wall, texts.operation, texts.crew, texts.hours, texts.dry, texts.state];
  const rows = some.map((one) => [one.start, one.end, `${one.room_name}, ${one.storey}`, one.wall, one.step, one.crew, one.hours ? one.hours.toFixed(2) : "", one.dry_at, one.state === "planned" ? "" : one.state]);
  the("table", HTMLTableElement).replaceChildren(...filled(heads, rows, [6]));
}

function dayChoices() {
  const days = [...new Set(made.operations.filter((/** @type {Operation} */ one) => one.crew === dayCrew.value).map((/** @type {Operation} */ one) => one.start.slice(0, 10)))];
  const before = dayDay.value;
  dayDay.replaceChildren(...days.map((day) => new Option(String(day), String(day))));
  if (days.includes(before)) dayDay.value = before;
  dayPlan();
}

function dayPlan() {
  const known = new Map(made.operations.map((/** @type {Operation} */ one) => [one.id, one]));
  const today = made.operations.filter((/** @type {Operation} */ one) => one.crew === dayCrew.value && one.start.startsWith(dayDay.value));
  const heads = [texts.begins, texts.ends, texts.room, texts.wall, texts.operation, texts.hours, texts.ready];
  const rows = today.map((/** @type {Operation} */ one) => [one.start.slice(11), one.end.startsWith(dayDay.value) ? one.end.slice(11) : one.end, `${one.room_name}, ${one.storey}`, one.wall, one.step, one.hours ? one.hours.toFixed(2) : "", ready(one, known)]);
  the("day-table", HTMLTableElement).replaceChildren(...filled(heads, rows, [5]));
}

/** @param {Operation} one @param {Map<string, Operation>} known */
function ready(one, known) {
  const before = one.after.map((id) => known.get(id)).filter((other) => other && (other.kind !== "ours" || other.dry_at));
  return [...new Set(before.map((other) => (other?.kind === "ours" ? fill(texts.dry_by, { step: other.step, at: other.dry_at }) : `${other?.step} (${other?.crew})`)))].join("; ");
}

/** @param {number} by */
function step(by) {
  const at = dayDay.selectedIndex + by;
  if (at >= 0 && at < dayDay.options.length) {
    dayDay.selectedIndex = at;
    dayPlan();
    say(dayDay.value);
  }
}

function callOffs() {
  const rows = made.call_offs.map((/** @type {any} */ one) => [one.call_on, `${one.on}${one.agreed ? ` ${texts.agreed}` : ""}`, one.delivery, one.supplier, one.storey, one.phase, one.mass_kg ? Math.round(one.mass_kg) : "", one.places || ""]);
  the("call-offs", HTMLTableElement).replaceChildren(...filled([texts.call_by, texts.on_site, texts.delivery, texts.supplier, texts.storey, texts.phase, "kg", texts.places], rows, [6, 7]));
}

function findings() {
  const list = made.findings.map((/** @type {any} */ one) => element("li", {}, [element("strong", { textContent: one.code }), ` ${[one.room, one.operation, one.text].filter(Boolean).join(" · ")}`, element("p", { textContent: one.remedy })]));
  the("findings-of-programme", HTMLUListElement).replaceChildren(...(list.length ? list : [element("li", { textContent: texts.no_findings })]));
}

/** @param {Outcome[]} some */
function outcomes(some) {
  const rows = some.map((one) => [one.words, one.finish, one.days_later > 0 ? `+${one.days_later}` : one.days_later, one.returns, one.overtime_hours || "", one.findings]);
  const heads = [texts.change, texts.finish_word, texts.later, texts.returns, texts.overtime, texts.findings];
  the("outcomes", HTMLTableElement).replaceChildren(...(rows.length ? filled(heads, rows, [2, 3, 4, 5]) : []));
}

function view() {
  return /** @type {HTMLInputElement | null} */ (document.querySelector("input[name=view]:checked"))?.value ?? "bars";
}

/** @param {number} to */
function zoom(to) {
  const place = the("days", HTMLDivElement), middle = (place.scrollLeft + place.clientWidth / 2) / wide;
  wide = Math.min(600, Math.max(4, to));
  draw();
  place.scrollLeft = middle * wide - place.clientWidth / 2;
}

function whole() {
  wide = Math.max(4, (the("days", HTMLDivElement).clientWidth - 4) / Math.max(1, made.days.length));
  draw();
}

the("tools", HTMLFormElement).addEventListener("change", draw);
the("tools", HTMLFormElement).addEventListener("submit", (event) => event.preventDefault());
the("in", HTMLButtonElement).addEventListener("click", () => zoom(wide * 1.6));
the("out", HTMLButtonElement).addEventListener("click", () => zoom(wide / 1.6));
the("whole", HTMLButtonElement).addEventListener("click", whole);
dayCrew.addEventListener("change", dayChoices);
dayDay.addEventListener("change", dayPlan);
the("day-before", HTMLButtonElement).addEventListener("click", () => step(-1));
the("day-after", HTMLButtonElement).addEventListener("click", () => step(1));
the("ask", HTMLFormElement).addEventListener("submit", (event) => {
  event.preventDefault();
  have(the("words-of-change", HTMLInputElement).value);
});
have("");
