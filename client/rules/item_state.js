/*
 * The fold of one item: its entries, in any order and any number of copies, to one state.
 * Twin of server/witnessmark/rules/item_state.py, held equal by tests/vectors/card_state.json.
 */
import { canonical_text } from "./canonical.js";
import { behind, workers } from "./lineage.js";
import { calibration_gaps, judge_reading, reading_gaps, said_by_reading } from "./readings.js";

const TRACK = ["result", "settlement", "corrective_action", "rejection"];
const SAID = ["result", "settlement"];
const STATUS_OF_RESULT = { pass: "passed", not_applicable: "not_applicable" };

/**
 * The state of a template `item` from its `entries`, a list of {id, payload} of this item only.
 * `control_persons`: how many countersign an item that disturbs engine or flight controls.
 * Returns the members that the Python twin lists; ids sorted, `history` with each entry after those it supersedes.
 */
export function fold_item(item, entries, control_persons = 1) {
  const known = new Map(entries.map(({ id, payload }) => [id, payload]));
  const track = new Map([...known].filter(([, entry]) => TRACK.includes(entry.kind)));
  const superseded = new Set([...track.values()].flatMap((entry) => entry.supersedes));
  const heads = [...track.keys()].filter((id) => !superseded.has(id)).sort();
  const plain_track = Object.fromEntries(track);
  const ancestors = new Map([...track.keys()].map((id) => [id, new Set(behind(id, plain_track))]));
  const uncorrected = heads.filter((id) => is_uncorrected(id, plain_track));
  const status = status_of(track, heads, ancestors, uncorrected);
  const standing = standing_results(status, track, heads);
  const needed = countersigners_needed(item, control_persons);
  const signed = countersigned_by(known, plain_track, heads, status);
  const problems = problems_of(item, standing, uncorrected, track);
  const missing = [...superseded].filter((id) => !track.has(id)).sort();
  const persons = new Set(signed.map((id) => known.get(id).author.person));
  const countersignature = !needed ? "not_needed" : persons.size >= needed ? "given" : "needed";
  const readings = judged(item, standing);
  if (Object.values(readings).some((reading) => reading.differs.length)) problems.add("derived_differs");
  if (missing.length) problems.add("entries_missing");
  const closed = status === "passed" || status === "not_applicable";
  return {
    status, heads, countersignature, countersigners_needed: needed, countersigned_by: signed,
    done: closed && countersignature !== "needed" && !problems.size,
    problems: [...problems].sort(), missing, readings,
    history: [...track.keys()].sort((a, b) => ancestors.get(a).size - ancestors.get(b).size || (a < b ? -1 : 1)),
    superseded: [...superseded].filter((id) => track.has(id)).sort(),
  };
}

/* Does a failure stand behind this entry with no corrective action, and no settlement, in between? */
function is_uncorrected(id, track) {
  return [id, ...behind(id, track, ["result", "rejection"])].some((old) => is_fail(track[old]));
}

function is_fail({ kind, body }) {
  return SAID.includes(kind) && body.result === "fail";
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
    return entries.some(is_fail) ? "failed" : "corrected";
  }
  if (uncorrected.length || !heads.length) return "failed";
  if (entries.some((entry) => entry.kind === "rejection")) return "rejected";
  return STATUS_OF_RESULT[entries[0].body.result];
}

/* The results that stand: none while open, disputed, sent back or only corrected. */
function standing_results(status, track, heads) {
  if (["open", "disputed", "corrected", "rejected"].includes(status)) return [];
  return heads.map((id) => track.get(id)).filter((entry) => SAID.includes(entry.kind));
}

function countersigners_needed({ countersign }, control_persons) {
  if (!countersign.needed) return 0;
  return countersign.controls ? control_persons : 1;
}

function countersigned_by(known, track, heads, status) {
  if (status !== "passed" && status !== "not_applicable") return [];
  const stands = ([, { kind, body, author }]) => kind === "countersignature" && body.covers.length > 0 &&
    body.covers.every((old) => heads.includes(old)) && !workers(body.covers, track).includes(author.person);
  return [...known].filter(stands).map(([id]) => id).sort();
}

/* What keeps a standing result from closing the item, as codes. */
function problems_of(item, standing, uncorrected, track) {
  const problems = new Set();
  const passed = (id) => SAID.includes(track.get(id).kind) && !is_fail(track.get(id));
  if (uncorrected.some(passed)) problems.add("passed_without_correction");
  for (const entry of standing) {
    const { result } = entry.body;
    if (result === "pass") reading_problems(item, entry).forEach((code) => problems.add(code));
    if (result === "not_applicable" && !item.not_applicable) problems.add("not_applicable_refused");
  }
  if (standing.length && is_photo_missing(item, standing.map(({ body }) => body))) problems.add("photo_missing");
  return problems;
}

function reading_problems(item, { body, claimed_at }) {
  return item.fields.flatMap((field) => {
    const reading = own(body.readings, field.field);
    return [...reading_gaps(field, reading), ...(reading ? calibration_gaps(reading, claimed_at.slice(0, 10)) : [])];
  });
}

function is_photo_missing(item, bodies) {
  const needed = { required: ["pass", "fail"], on_fail: ["fail"] }[item.photo.rule] ?? [];
  return bodies.some((body) => needed.includes(body.result)) && !bodies.some((body) => body.photos.length);
}

function judged(item, standing) {
  if (!standing.length) return {};
  const [{ body: { readings } }] = standing;
  const recorded = item.fields.filter(({ field }) => Object.hasOwn(readings, field));
  return Object.fromEntries(recorded.map((field) => [field.field, judge_reading(field, readings[field.field])]));
}

/* A field may be called "constructor": only what the entry itself holds counts. */
function own(readings, name) {
  return Object.hasOwn(readings, name) ? readings[name] : null;
}
