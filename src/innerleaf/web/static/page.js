// What every page does: light, dark or for the sun, as the person chooses; in a team, who is signed in.

const LIGHTS = ["light", "dark", "sun"];
const { classList } = document.documentElement;

document.getElementById("light")?.addEventListener("click", () => {
  const next = LIGHTS[(LIGHTS.findIndex((one) => classList.contains(one)) + 1) % LIGHTS.length];
  classList.remove(...LIGHTS);
  classList.add(next);
  localStorage.setItem("innerleaf-light", next);
});

document.querySelector(".top nav [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });

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
