/*
 * The words that stand beside the marks. Pure: states in, words out.
 */
const STATUS = {
  open: "Not done",
  passed: "Passed",
  failed: "Failed",
  corrected: "Corrected, inspect again",
  not_applicable: "Not applicable",
  disputed: "Disputed",
  rejected: "Sent back by the inspector",
};

const CARD_STATUS = {
  open: "Open",
  complete: "Complete, not released",
  released: "Released",
  contested: "Contested: changed after the release",
  disapproved: "Disapproved",
};

const RESULT = { pass: "Pass", fail: "Fail", not_applicable: "Not applicable" };

const KIND = {
  result: "Result",
  settlement: "Settlement",
  corrective_action: "Corrective action",
  countersignature: "Countersignature",
  release: "Release",
  disapproval: "Disapproval",
  rejection: "Sent back",
  admission: "Taking in",
};

/** Only a closed result can carry a second stripe. */
export const awaits_or_has_second = ({ status }) => status === "passed" || status === "not_applicable";

/** "Passed, countersigned" for an item's state; "Passed, countersigned by 1 of 2" while one more person is needed. */
export function item_words(item) {
  const begun = item.countersigned_by?.length;
  const needed = begun ? `, countersigned by ${begun} of ${item.countersigners_needed}` : ", to countersign";
  const second = { given: ", countersigned", needed }[item.countersignature] ?? "";
  return STATUS[item.status] + (awaits_or_has_second(item) ? second : "");
}

export const card_words = (status) => CARD_STATUS[status];
export const result_words = (result) => RESULT[result];
export const kind_words = (kind) => KIND[kind];

/** "9 of 12 done, 1 failed" for the counts of a card. */
export function progress_words({ items, done, failed, rejected, disputed }) {
  const rest = [failed && `${failed} failed`, rejected && `${rejected} sent back`, disputed && `${disputed} disputed`].filter(Boolean);
  return [`${done} of ${items} done`, ...rest].join(", ");
}

/** "1 entry", "3 entries". */
export const count_words = (count, one, many) => `${count} ${count === 1 ? one : many}`;

/** "just now", "5 min", "3 h", "2 days" for a time span in milliseconds. */
export function age_words(milliseconds) {
  const minutes = Math.floor(milliseconds / 60000);
  if (minutes < 1) return "just now";
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  return hours < 48 ? `${hours} h` : `${Math.floor(hours / 24)} days`;
}

/** "25 Nov 2026, 08:12" in the phone's own time zone for "2026-11-25T08:12:00Z". */
export function time_words(utc) {
  return new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeStyle: "short" }).format(new Date(utc));
}

const STOPS = {
  open: "is not done yet",
  failed: "failed and needs a corrective action",
  corrected: "was corrected and must be inspected again",
  disputed: "is in dispute: an inspector settles it",
  rejected: "was sent back by the inspector: inspect it again",
  to_countersign: "waits for an inspector’s countersignature",
  passed_without_correction: "was passed after a fail without a corrective action",
  not_applicable_refused: "may not be answered “not applicable”",
  reading_missing: "has a reading missing",
  tool_missing: "has no serial number of its tool",
  tool_out_of_calibration: "was measured with a tool out of calibration: take the value again with another tool",
  outside_limits: "has a reading outside its limits",
  not_acceptable: "has a reading that is not acceptable",
  photo_missing: "needs a photo",
  derived_differs: "has a computed value that differs when computed again",
  entries_missing: "refers to an entry that this phone does not have yet: sync",
};

/** What one stop says, to be read after the item: "2.3 Hub bolts is not done yet". */
export const stop_words = (code) => STOPS[code] ?? `is not in order (${code})`;
