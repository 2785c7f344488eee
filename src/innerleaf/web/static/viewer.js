// The drawing: which view is shown, which layers, how near; by mouse, touch and keyboard.

/** @typedef {{x: number, y: number, width: number, height: number}} Box */

export class Viewer {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    /** As they came, or as they were shown. @type {Record<string, string | SVGSVGElement>} */
    this.drawings = {};
    this.view = "frame";
    /** @type {Set<string>} */
    this.hidden = new Set();
    /** @type {Box | null} */
    this.box = null;
    /** @type {Map<number, {x: number, y: number}>} */
    this.fingers = new Map();
    place.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
    place.addEventListener("pointerdown", (event) => this.#down(event));
    place.addEventListener("pointermove", (event) => this.#move(event));
    for (const name of ["pointerup", "pointercancel"]) {
      place.addEventListener(name, (event) => this.fingers.delete(/** @type {PointerEvent} */ (event).pointerId));
    }
    place.addEventListener("keydown", (event) => this.#key(event));
  }

  /** The drawing itself. @returns {SVGSVGElement | null} */
  get svg() {
    return this.place.querySelector("svg");
  }

  /** Show new drawings of the same wall, as near as before. @param {Record<string, string | SVGSVGElement>} drawings */
  take(drawings) {
    this.drawings = { ...drawings };
    if (!(this.view in drawings)) this.view = Object.keys(drawings)[0] ?? "";
    this.show(this.view, true);
  }

  /** Have more drawings of the same wall at hand. @param {Record<string, string>} drawings */
  add(drawings) {
    Object.assign(this.drawings, drawings);
  }

  /** @param {string} view @param {boolean} [asNear] */
  show(view, asNear = false) {
    const drawing = this.drawings[view];
    if (!drawing) return;
    const box = asNear ? this.box : null;
    this.view = view;
    if (typeof drawing === "string") this.place.innerHTML = drawing;
    else if (drawing !== this.svg) this.place.replaceChildren(drawing);
    if (this.svg) this.drawings[view] = this.svg;
    this.whole();
    if (box) this.#look(box);
    if (this.hidden.size || typeof drawing !== "string") this.#layers();
  }

  /** The layers that the drawing has. */
  get layers() {
    const found = new Set();
    for (const part of this.place.querySelectorAll("[class^='on-']")) found.add(part.classList[0]);
    return found;
  }

  /** @param {string} layer @param {boolean} shown */
  layer(layer, shown) {
    if (shown) this.hidden.delete(layer);
    else this.hidden.add(layer);
    this.#layers();
  }

  #layers() {
    for (const part of this.place.querySelectorAll("[class^='on-']")) {
      /** @type {SVGElement} */ (part).style.display = this.hidden.has(part.classList[0]) ? "none" : "";
    }
  }

  /** See the whole wall. */
  whole() {
    const svg = this.svg;
    if (!svg) return;
    const [x, y, width, height] = (svg.dataset.whole ?? svg.getAttribute("viewBox") ?? "0 0 1 1").split(" ").map(Number);
    svg.dataset.whole = `${x} ${y} ${width} ${height}`;
    svg.removeAttribute("width");
    svg.removeAttribute("height");
    this.place.style.setProperty("--ratio", String(width / height));
    this.#look({ x, y, width, height });
    this.box = null;
  }

  /** @param {Box} box */
  #look(box) {
    this.box = box;
    this.svg?.setAttribute("viewBox", `${box.x} ${box.y} ${box.width} ${box.height}`);
  }

  /** @returns {Box} */
  #now() {
    const box = this.svg?.viewBox.baseVal;
    return box ? { x: box.x, y: box.y, width: box.width, height: box.height } : { x: 0, y: 0, width: 1, height: 1 };
  }

  /** Nearer by a factor about a place on the screen, or about the middle. @param {number} factor @param {{x: number, y: number}} [about] */
  zoom(factor, about) {
    if (!this.svg) return;
    const now = this.#now();
    const [, , whole] = (this.svg.dataset.whole ?? "").split(" ").map(Number);
    const width = Math.min(Math.max(now.width / factor, 8), 4 * whole);
    const by = width / now.width;
    const at = about ? this.onPaper(about.x, about.y) : { x: now.x + now.width / 2, y: now.y + now.height / 2 };
    this.#look({ x: at.x - (at.x - now.x) * by, y: at.y - (at.y - now.y) * by, width, height: now.height * by });
  }

  /** Where a place on the screen lies on the drawing's paper. @param {number} x @param {number} y */
  onPaper(x, y) {
    const matrix = this.svg?.getScreenCTM();
    return matrix ? new DOMPoint(x, y).matrixTransform(matrix.inverse()) : new DOMPoint(x, y);
  }

  /** Where a place on the screen lies on the wall, in millimetres. @param {number} x @param {number} y */
  onWall(x, y) {
    const paper = this.onPaper(x, y);
    const { scale, left, floor } = this.svg?.dataset ?? {};
    return { x: (paper.x - Number(left)) * Number(scale), y: (Number(floor) - paper.y) * Number(scale) };
  }

  /** Show a place of the wall near, with a ring round it. @param {number} x @param {number} y */
  point(x, y) {
    const svg = this.svg;
    if (!svg) return;
    this.whole();
    const { scale, left, floor } = svg.dataset;
    const at = { x: Number(left) + x / Number(scale), y: Number(floor) - y / Number(scale) };
    const now = this.#now();
    const width = now.width / 2.5;
    const height = now.height / 2.5;
    this.#look({ x: at.x - width / 2, y: at.y - height / 2, width, height });
    svg.querySelector(".spot")?.remove();
    const spot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    for (const [name, value] of Object.entries({ class: "spot", cx: at.x, cy: at.y, r: 6 })) spot.setAttribute(name, String(value));
    svg.append(spot);
  }

  /** @param {WheelEvent} event */
  #wheel(event) {
    event.preventDefault();
    this.zoom(Math.exp(-event.deltaY / 400), { x: event.clientX, y: event.clientY });
  }

  /** @param {PointerEvent} event */
  #down(event) {
    if (event.defaultPrevented || event.button) return;
    this.fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const before = this.fingers.get(event.pointerId);
    if (!before || event.defaultPrevented) return;
    const after = { x: event.clientX, y: event.clientY };
    const other = [...this.fingers].find(([id]) => id !== event.pointerId)?.[1];
    if (other) {
      const apart = (/** @type {{x: number, y: number}} */ one) => Math.hypot(one.x - other.x, one.y - other.y);
      this.zoom(apart(after) / Math.max(apart(before), 1), { x: (after.x + other.x) / 2, y: (after.y + other.y) / 2 });
    } else {
      const [from, to] = [this.onPaper(before.x, before.y), this.onPaper(after.x, after.y)];
      const now = this.#now();
      this.#look({ ...now, x: now.x - to.x + from.x, y: now.y - to.y + from.y });
    }
    this.fingers.set(event.pointerId, after);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
    const now = this.#now();
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (event.key === "+" || event.key === "=") this.zoom(1.25);
    else if (event.key === "-") this.zoom(0.8);
    else if (event.key === "0") this.whole();
    else if (step) this.#look({ ...now, x: now.x + step[0] * now.width * 0.1, y: now.y + step[1] * now.height * 0.1 });
    else return;
    event.preventDefault();
  }
}
