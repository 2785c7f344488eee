// Moving openings, boxes, obstacles and hung loads on the drawing, by pointer and by arrow keys.

/** @typedef {import("./viewer.js").Viewer} Viewer */
/** @typedef {{kind: string, mark: string, dx: number, dy: number}} Move */

const MOVED = ["opening", "box", "obstacle", "load"];
const STEP_MM = 10;

/** Whether an element of the drawing can be moved. @param {EventTarget | null} element @returns {SVGPathElement | null} */
function movable(element) {
  const found = element instanceof Element ? element.closest(".target") : null;
  return found instanceof SVGPathElement && MOVED.includes(found.dataset.kind ?? "") ? found : null;
}

/**
 * Calls `moved` when something was let go at a new place, `pointed` when anything was pressed.
 * @param {Viewer} viewer
 * @param {(move: Move) => void} moved
 * @param {(kind: string, mark: string) => void} pointed
 */
export function letMove(viewer, moved, pointed) {
  /** @type {{element: SVGPathElement, from: {x: number, y: number}, dx: number, dy: number} | null} */
  let held = null;
  const { place } = viewer;

  place.addEventListener("pointerdown", (event) => {
    const target = event.target instanceof Element ? event.target.closest(".target") : null;
    if (target instanceof SVGPathElement) pointed(target.dataset.kind ?? "", target.dataset.mark ?? "");
    const element = movable(event.target);
    if (!element || event.button) return;
    event.preventDefault(); // the paper stays where it is
    element.focus();
    element.setPointerCapture(event.pointerId);
    held = { element, from: viewer.onWall(event.clientX, event.clientY), dx: 0, dy: 0 };
  }, true);

  place.addEventListener("pointermove", (event) => {
    if (!held) return;
    event.preventDefault();
    const at = viewer.onWall(event.clientX, event.clientY);
    const step = event.shiftKey ? 1 : STEP_MM;
    held.dx = Math.round((at.x - held.from.x) / step) * step;
    held.dy = Math.round((at.y - held.from.y) / step) * step;
    const scale = Number(viewer.svg?.dataset.scale);
    held.element.classList.add("dragged");
    held.element.setAttribute("transform", `translate(${held.dx / scale} ${-held.dy / scale})`);
  }, true);

  for (const name of ["pointerup", "pointercancel"]) {
    place.addEventListener(name, () => {
      if (!held) return;
      const { element, dx, dy } = held;
      held = null;
      element.classList.remove("dragged");
      if (name === "pointercancel") element.removeAttribute("transform");
      else if (dx || dy) moved({ kind: element.dataset.kind ?? "", mark: element.dataset.mark ?? "", dx, dy });
    }, true);
  }

  place.addEventListener("keydown", (event) => {
    const element = movable(event.target);
    const step = event.shiftKey ? 1 : STEP_MM;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }[event.key];
    if (!element || !by) return;
    event.preventDefault();
    moved({ kind: element.dataset.kind ?? "", mark: element.dataset.mark ?? "", dx: by[0], dy: by[1] });
  }, true);

  place.addEventListener("focusin", (event) => {
    const element = movable(event.target);
    if (element) pointed(element.dataset.kind ?? "", element.dataset.mark ?? "");
  });
}
