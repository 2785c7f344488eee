// Two people saved on the same revision: both versions side by side, and the choice.
import { word } from "./net.js";

/** Whether the person wants their own version on top of the newest. @param {any} answer @returns {Promise<boolean>} */
export function settle(answer) {
  const dialog = document.createElement("dialog");
  const heading = document.createElement("h2");
  heading.id = "conflict-heading";
  heading.textContent = word("conflict", { who: answer.newest.who, number: answer.newest.revision });
  dialog.setAttribute("aria-labelledby", heading.id);
  const two = document.createElement("div");
  two.className = "two";
  const [theirs, mine] = marked(answer.newest.text.split("\n"), answer.yours.text.split("\n"));
  two.append(version(answer.newest.who, theirs), version(answer.yours.who, mine));
  const keep = button(word("take_theirs"));
  const put = button(word("take_mine"));
  dialog.append(heading, two, keep, " ", put);
  document.body.append(dialog);
  dialog.showModal();
  return new Promise((resolve) => {
    put.addEventListener("click", () => done(true));
    keep.addEventListener("click", () => done(false));
    dialog.addEventListener("cancel", (event) => event.preventDefault()); // a choice has to be made
    /** @param {boolean} mineOnTop */
    function done(mineOnTop) {
      dialog.close();
      dialog.remove();
      resolve(mineOnTop);
    }
  });
}

/** Lines of two texts, each with whether the other text lacks it. @param {string[]} one @param {string[]} other */
export function marked(one, other) {
  const inOne = new Set(one);
  const inOther = new Set(other);
  return [
    one.map((line) => ({ line, differs: !inOther.has(line) })),
    other.map((line) => ({ line, differs: !inOne.has(line) })),
  ];
}

/** @param {string} who @param {{line: string, differs: boolean}[]} lines */
function version(who, lines) {
  const part = document.createElement("div");
  const heading = document.createElement("h3");
  heading.textContent = who;
  const text = document.createElement("pre");
  text.tabIndex = 0;
  lines.forEach(({ line, differs }, number) => {
    const near = lines.slice(Math.max(0, number - 3), number + 4).some((other) => other.differs);
    if (!near) return; // far from anything that differs
    const row = document.createElement("span");
    if (differs) row.className = "differs";
    row.textContent = `${differs ? "≠ " : "  "}${line}\n`;
    text.append(row);
  });
  part.append(heading, text);
  return part;
}

/** @param {string} words */
function button(words) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  return made;
}
