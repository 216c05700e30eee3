/*
 * The look, before the first paint: a night hangar must not flash white. A classic script in the head for that reason.
 * Chosen in screens/theme.js, which says "theme" to the window after a change.
 */
(() => {
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const automatic = () => (dark.matches ? "night" : "day");
  const apply = () => {
    const { theme, gloves } = localStorage;
    document.documentElement.dataset.theme = ["day", "night", "sun"].includes(theme) ? theme : automatic();
    document.documentElement.dataset.gloves = gloves === "yes" ? "yes" : "no";
  };
  dark.addEventListener("change", apply);
  for (const change of ["theme", "storage"]) addEventListener(change, apply);
  apply();
})();
