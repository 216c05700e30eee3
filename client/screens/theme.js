/*
 * Day, night, sun or automatic, and larger targets for gloves. Kept in localStorage and not with the work, because
 * first_paint.js must read it before the first paint.
 */
export const THEMES = { automatic: "Automatic", day: "Day", night: "Night", sun: "Sun" };

/** The theme chosen on this phone. */
export const chosen_theme = () => (Object.hasOwn(THEMES, localStorage.theme ?? "") ? localStorage.theme : "automatic");

/** Are the targets made for gloves? */
export const wears_gloves = () => localStorage.gloves === "yes";

/** Keep a choice, `theme` or `gloves`, and apply it. */
export function choose_look(name, value) {
  localStorage[name] = value;
  dispatchEvent(new Event("theme"));
}
