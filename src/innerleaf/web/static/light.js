// Light, dark or for the sun, before anything is painted: as the person chose, or as the device says.
{
  const chosen = localStorage.getItem("innerleaf-light") ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");
  document.documentElement.classList.add(chosen);
}
