// What every page does: light or dark, as the person chose or the device says; in a team, who is signed in.

const KEY = "innerleaf-light";
const root = document.documentElement;

function isDark() {
  const chosen = localStorage.getItem(KEY);
  return chosen ? chosen === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
}

root.classList.toggle("dark", isDark());
document.getElementById("light")?.addEventListener("click", () => {
  localStorage.setItem(KEY, isDark() ? "light" : "dark");
  root.classList.toggle("dark", isDark());
});

const header = /** @type {HTMLElement | null} */ (document.querySelector(".top"));
if (header) showPerson(header);

/** Who is signed in, with the ways to the people and out; nothing where one works alone. @param {HTMLElement} header */
async function showPerson(header) {
  const answer = await fetch("/api/me").catch(() => null);
  if (!answer?.ok) return;
  const me = await answer.json();
  document.documentElement.classList.toggle("looks-only", !me.may.includes("edit"));
  if (!me.team) return;
  const texts = JSON.parse(document.getElementById("words")?.textContent ?? "{}");
  const place = document.createElement("form");
  place.method = "post";
  place.action = "/sign-out";
  place.className = "person";
  place.append(`${me.name}, ${me.role} `);
  if (me.may.includes("invite")) {
    const link = Object.assign(document.createElement("a"), { href: "/people", textContent: texts.people });
    place.append(link, " ");
  }
  place.append(Object.assign(document.createElement("button"), { className: "plain", textContent: texts.sign_out }));
  header.append(place);
}
