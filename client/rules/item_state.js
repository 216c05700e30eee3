/*
 * The fold of one item: its entries, in any order and any number of copies, to one state.
 * Twin of server/witnessmark/rules/item_state.py, held equal by tests/vectors/card_state.json.
 */
import { canonical_text } from "./canonical.js";
import { judge_reading, reading_gaps, said_by_reading } from "./readings.js";

const TRACK = ["result", "settlement", "corrective_action"];
const SAID = ["result", "settlement"];
const STATUS_OF_RESULT = { pass: "passed", not_applicable: "not_applicable" };

/**
 * The state of a template `item` from its `entries`, a list of {id, payload} of this item only.
 * Returns the members that the Python twin lists; ids sorted, `history` with each entry after those it supersedes.
 */
export function fold_item(item, entries) {
  const known = new Map(entries.map(({ id, payload }) => [id, payload]));
  const track = new Map([...known].filter(([, entry]) => TRACK.includes(entry.kind)));
  const superseded = new Set([...track.values()].flatMap((entry) => entry.supersedes));
  const heads = [...track.keys()].filter((id) => !superseded.has(id)).sort();
  const ancestors = all_ancestors(track);
  const uncorrected = heads.filter((id) => is_uncorrected(id, track));
  const status = status_of(track, heads, ancestors, uncorrected);
  const standing = standing_bodies(status, track, heads);
  const signed = countersigned_by(known, track, heads, status);
  const problems = problems_of(item, standing, uncorrected, track);
  const missing = [...superseded].filter((id) => !track.has(id)).sort();
  const countersignature = !item.countersign.needed ? "not_needed" : signed.length ? "given" : "needed";
  const readings = judged(item, standing);
  if (Object.values(readings).some((reading) => reading.differs.length)) problems.add("derived_differs");
  if (missing.length) problems.add("entries_missing");
  const closed = status === "passed" || status === "not_applicable";
  return {
    status, heads, countersignature, countersigned_by: signed,
    done: closed && countersignature !== "needed" && !problems.size,
    problems: [...problems].sort(), missing, readings,
    history: [...track.keys()].sort((a, b) => ancestors.get(a).size - ancestors.get(b).size || (a < b ? -1 : 1)),
    superseded: [...superseded].filter((id) => track.has(id)).sort(),
  };
}

/* id -> the set of known entries it supersedes, directly or through others. */
function all_ancestors(track) {
  return new Map([...track.keys()].map((id) => [id, behind(id, track, () => true)]));
}

/* All known entries reached from `id` by `supersedes`, walking on from those for which `goes_on(entry)`. */
function behind(id, track, goes_on) {
  const found = new Set();
  const stack = [id];
  while (stack.length) {
    const entry = track.get(stack.pop());
    if (!goes_on(entry)) continue;
    for (const old of entry.supersedes) {
      if (track.has(old) && old !== id && !found.has(old)) {
        found.add(old);
        stack.push(old);
      }
    }
  }
  return found;
}

/* Does a failure stand behind this entry with no corrective action, and no settlement, in between? */
function is_uncorrected(id, track) {
  const reached = [id, ...behind(id, track, (entry) => entry.kind === "result")].map((old) => track.get(old));
  return reached.some((entry) => SAID.includes(entry.kind) && entry.body.result === "fail");
}

function said_by({ body }) {
  const readings = Object.entries(body.readings).map(([name, reading]) => [name, said_by_reading(reading)]);
  return canonical_text({ result: body.result, readings: Object.fromEntries(readings) });
}

/* Do two results, neither made in sight of the other, differ with no settlement that saw both? */
function is_disputed(track, ancestors) {
  const results = [...track.keys()].filter((id) => SAID.includes(track.get(id).kind)).sort();
  const settlements = results.filter((id) => track.get(id).kind === "settlement");
  const said = new Map(results.map((id) => [id, said_by(track.get(id))]));
  const settled = (one, other) =>
    settlements.some((id) => ancestors.get(id).has(one) && ancestors.get(id).has(other));
  const apart = (one, other) => !ancestors.get(other).has(one) && !ancestors.get(one).has(other);
  return results.some((one, index) => results.slice(index + 1).some(
    (other) => apart(one, other) && said.get(one) !== said.get(other) && !settled(one, other),
  ));
}

function status_of(track, heads, ancestors, uncorrected) {
  if (!track.size) return "open";
  if (is_disputed(track, ancestors)) return "disputed";
  const entries = heads.map((id) => track.get(id));
  if (entries.some((entry) => entry.kind === "corrective_action")) {
    return entries.some((entry) => SAID.includes(entry.kind) && entry.body.result === "fail") ? "failed" : "corrected";
  }
  if (uncorrected.length || !heads.length) return "failed";
  return STATUS_OF_RESULT[entries[0].body.result];
}

/* The bodies of the results that stand: none while open, disputed or only corrected. */
function standing_bodies(status, track, heads) {
  if (["open", "disputed", "corrected"].includes(status)) return [];
  return heads.map((id) => track.get(id)).filter((entry) => SAID.includes(entry.kind)).map((entry) => entry.body);
}

function countersigned_by(known, track, heads, status) {
  if (status !== "passed" && status !== "not_applicable") return [];
  const stands = ([, { kind, body, author }]) => kind === "countersignature" && body.covers.length > 0 &&
    body.covers.every((old) => heads.includes(old) && track.get(old).author.person !== author.person);
  return [...known].filter(stands).map(([id]) => id).sort();
}

/* What keeps a standing result from closing the item, as codes. */
function problems_of(item, standing, uncorrected, track) {
  const problems = new Set();
  const passed = (id) => SAID.includes(track.get(id).kind) && track.get(id).body.result !== "fail";
  if (uncorrected.some(passed)) problems.add("passed_without_correction");
  for (const { result, readings } of standing) {
    if (result === "pass") {
      for (const field of item.fields) {
        for (const code of reading_gaps(field, own(readings, field.field))) problems.add(code);
      }
    }
    if (result === "not_applicable" && !item.not_applicable) problems.add("not_applicable_refused");
  }
  if (standing.length && is_photo_missing(item, standing)) problems.add("photo_missing");
  return problems;
}

function is_photo_missing(item, standing) {
  const needed = { required: ["pass", "fail"], on_fail: ["fail"] }[item.photo.rule] ?? [];
  return standing.some((body) => needed.includes(body.result)) && !standing.some((body) => body.photos.length);
}

function judged(item, standing) {
  if (!standing.length) return {};
  const [{ readings }] = standing;
  const recorded = item.fields.filter(({ field }) => Object.hasOwn(readings, field));
  return Object.fromEntries(recorded.map((field) => [field.field, judge_reading(field, readings[field.field])]));
}

/* A field may be called "constructor": only what the entry itself holds counts. */
function own(readings, name) {
  return Object.hasOwn(readings, name) ? readings[name] : null;
}
