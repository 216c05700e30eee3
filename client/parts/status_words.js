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
  spread_outside: "has readings that differ by more than is allowed",
  step_outside: "has two neighbouring readings that differ by more than is allowed",
  inside_guard_band: "has a reading nearer to its limit than the tool can tell",
  tool_not_good_enough: "was measured with a tool too coarse for the limits",
  tolerance_missing: "has no tolerance of its tool, which this card asks for",
  limit_input_missing: "lacks what its limits depend on",
  table_outside: "has a reading beyond the ends of its table",
  table_rows: "has a table that cannot be used",
  table_row_missing: "has a bare dial reading without its instrument’s table",
  drag_missing: "has no friction drag torque",
  drag_place_missing: "does not say where its friction drag was read",
  wrench_below_range: "has a torque below 20 % of the wrench’s full scale",
  wrench_above_range: "has a torque above the wrench’s full scale",
  back_missing: "has no dial reading back at the first place",
  dial_moved: "has a dial that did not come back to where it began",
  angles_unfit: "has angles that cannot show the shape of a shaft",
  master_orifice_missing: "has no reading through the master orifice",
  pressure_above_supply: "has a cylinder that keeps more than the supply: read both gauges again",
  again_wrong: "has a count of re-tests that is no number",
  base_missing: "has no rpm on both magnetos",
  drop_suspect: "shows no fall at all: the other magneto was not switched off",
  hours_missing: "has no hour-meter readings",
  hours_backwards: "has an hour-meter that runs backwards",
  balance_missing: "has half of a balance only",
  balance_no_effect: "has a trial weight that changed nothing",
  clock_wrong: "has a clock angle that is none",
  number_negative: "has a value below zero",
  entries_missing: "refers to an entry that this phone does not have yet: sync",
};

/** What one stop says, to be read after the item: "2.3 Hub bolts is not done yet". */
export const stop_words = (code) => STOPS[code] ?? `is not in order (${code})`;
