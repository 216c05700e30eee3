/*
 * Words for people, keys and tools at the desk. Pure: facts in, words out.
 */

const DAY_MS = 86400000;
const WARNED_DAYS = 3;

/** Today's day in UTC, "2026-11-25": the day that authorities and calibrations are compared with. `now` is a Date. */
export const day_of = (now) => now.toISOString().slice(0, 10);

/** "25 Nov 2026" for "2026-11-25", the same on every phone. */
export function day_words(day) {
  return new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeZone: "UTC" }).format(new Date(`${day}T00:00:00Z`));
}

/** "inspector from 1 Jan 2026 until 31 Dec 2026" */
export function authority_words({ role, from, until }) {
  return [role, from && `from ${day_words(from)}`, until && `until ${day_words(until)}`].filter(Boolean).join(" ");
}

/** "" while the authority holds on `today`; else when it begins, or that it is over. */
export function authority_state({ from, until }, today) {
  if (until && until < today) return "over";
  return from && from > today ? "not yet" : "";
}

/** How a tool stands on `today`: {words, out: boolean}. The last day of a calibration still counts. */
export function tool_state({ calibrated_until: until }, today) {
  if (!until) return { words: "No calibration date", out: false };
  return until < today ? { words: `Out of calibration since ${day_words(until)}`, out: true }
    : { words: `Calibrated until ${day_words(until)}`, out: false };
}

/** What guards a key on a phone: "by signing code". */
export const guard_words = (guard) => (guard === "passkey" ? "opened by the phone’s own unlock" : "opened by the signing code");

/** "Ended 25 Nov 2026 by Noor Whitlock: phone lost" for how a key ended; `name` is null when the server ended it. */
export function ended_words({ at, why, name }) {
  return `Ended ${day_words(at.slice(0, 10))}${name ? ` by ${name}` : ""}: ${why}`;
}

/** Until when this phone may sign without meeting the server, as UTC text; null before the first meeting. */
export function signs_until(last_sync_at, lease_days) {
  return last_sync_at && lease_days ? new Date(Date.parse(last_sync_at) + lease_days * DAY_MS).toISOString() : null;
}

/** A warning while there is time to meet the server, from three days before; `now` in milliseconds. Else "". */
export function lease_words(until, now) {
  if (!until) return "";
  const left = Date.parse(until) - now;
  if (left < 0) return "No signing before it has met the server";
  const days = Math.floor(left / DAY_MS);
  return days < WARNED_DAYS ? `Signing stops ${days ? `in ${days} d` : "within a day"}: connect` : "";
}
