// What every page does: light or dark, as the person chose or the device says.

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
