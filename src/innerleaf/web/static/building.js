// How each wall stands: asked for once the page is there, since it may have to be set out first.
import { ask, fill, pageData, say, Refused } from "./net.js";

const { job, texts } = pageData();
try {
  for (const one of await ask("GET", `/api/jobs/${job}/states`)) {
    const item = document.querySelector(`li[data-wall="${CSS.escape(one.wall)}"]`);
    if (!item) continue;
    item.classList.replace("waiting", one.state);
    const says = item.querySelector(".says");
    const many = one.findings === 1 ? texts.one_finding : fill(texts.many_findings, { count: one.findings });
    if (says) says.textContent = one.state === "findings" ? many : texts[one.state];
  }
} catch (refused) {
  if (!(refused instanceof Refused)) throw refused;
  say(refused.message, true);
}
