/*
 * Day, night, sun or automatic: kept in localStorage, because it must apply before the first paint.
 */
export const THEMES = { automatic: "Automatic", day: "Day", night: "Night", sun: "Sun" };
const KEY = "theme";

/** The theme chosen on this phone. */
export function chosen_theme() {
  const kept = localStorage.getItem(KEY);
  return Object.hasOwn(THEMES, kept) ? kept : "automatic";
}

/** Apply `theme` to the page, and keep it. */
export function apply_theme(theme) {
  localStorage.setItem(KEY, theme);
  document.documentElement.dataset.theme = theme;
}
