/*
 * From a draft to the body of a result, and what still keeps a verdict from being recorded. Pure.
 */
import { doubt_of, empty_reading, finished, is_touched, plain_lines, typing_problem } from "../parts/reading.js";
import { Problem } from "../rules/problems.js";
import { calibration_gaps, reading_stops } from "../rules/readings.js";

// Recorded as anything else, what was typed of the discrepancy would be gone.
const TYPED = "A discrepancy is typed for this item. Record the fail, or tap Fail and empty both fields first.";

/** A draft with nothing in it. */
export function empty_draft() {
  return { opened: null, readings: {}, note: "", what: "", where: "", photos: [], action: "", reason: "", mode: null };
}

/** The sentences that say what is missing for `verdict`; none when it can be recorded. `tools` is the shop's register. */
export function verdict_problems(item, draft, verdict, serials, tools) {
  const problems = item.fields.flatMap((field) => field_problems(field, draft, verdict, serials, tools));
  const needed = { required: ["pass", "fail"], on_fail: ["fail"] }[item.photo.rule] ?? [];
  if (needed.includes(verdict) && !draft.photos.length) problems.push(new Problem("photo_missing"));
  if (verdict === "fail" && !(draft.what.trim() && draft.where.trim())) problems.push(new Problem("discrepancy_needed"));
  if (verdict !== "fail" && (draft.what.trim() || draft.where.trim())) problems.push({ sentence: TYPED });
  if (verdict === "not_applicable" && !draft.note.trim()) problems.push(new Problem("note_needed"));
  return problems.map((problem) => problem.sentence);
}

function field_problems(field, draft, verdict, serials, tools) {
  const reading = draft.readings[field.field] ?? empty_reading(field, serials[field.tool], tools);
  const wrong = typing_problem(field, reading) ?? (verdict === "not_applicable" ? null : doubt_of(field, reading));
  if (wrong) return [wrong];
  if (verdict !== "pass") return [];
  const day = new Date().toISOString().slice(0, 10);
  const typed = finished(field, reading, tools);
  const past = is_touched(reading) ? calibration_gaps(typed, day) : [];
  return [
    ...reading_stops(field, typed).map(([code, fields]) => lacking(code, field, typed.values) ?? new Problem(code, fields)),
    ...past.map((code) => new Problem(code, { title: field.title, serial: typed.tools[0]?.serial, day })),
  ];
}

/* Which places of a row are still empty, once one of them is filled in. */
function lacking(code, { title, stations }, values) {
  const empty = stations.filter((_, index) => values[index] === null);
  if (code !== "reading_missing" || !empty.length || empty.length === values.length) return null;
  return { sentence: `"${title}" still lacks ${empty.join(", ")}. Type every value before you pass the item.` };
}

/** The body of a result, as the entry holds it. Untouched fields are left out. */
export function result_body(item, draft, verdict, tools) {
  const taken = item.fields.filter(({ field }) => draft.readings[field] && is_touched(draft.readings[field]));
  const readings = taken.map((field) => [field.field, finished(field, draft.readings[field.field], tools)]);
  const discrepancy = verdict === "fail"
    ? { what: plain_lines(draft.what), where: plain_lines(draft.where) } : null;
  return { result: verdict, readings: Object.fromEntries(readings), ...told(draft), discrepancy };
}

/** The body of a corrective action. */
export function corrective_body(draft) {
  return { action: plain_lines(draft.action), readings: {}, ...told(draft) };
}

/** The body of a rejection: an inspector sends the item back. */
export function rejection_body(draft) {
  return { reason: plain_lines(draft.reason), photos: told(draft).photos };
}

function told(draft) {
  const photos = draft.photos.map((photo) => ({ ...photo, caption: plain_lines(photo.caption) }));
  return { note: plain_lines(draft.note), photos };
}
