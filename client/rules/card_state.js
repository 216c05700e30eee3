/*
 * The fold of a card: template and entries, in any order and any number of copies, to one state.
 * Twin of server/witnessmark/rules/card_state.py, held equal byte for byte by tests/vectors/card_state.json.
 */
import { APPROVALS } from "./entry.js";
import { fold_item } from "./item_state.js";

/**
 * The state of a card: `template` is a revision, `entries` a list of {id, payload}, `control_persons` what the card's
 * local code asks. Members: see the Python twin.
 */
export function fold(template, entries, control_persons = 1) {
  const known = new Map(entries.map(({ id, payload }) => [id, payload]));
  const folded = fold_items(template, known, control_persons);
  const items = folded.map(({ superseded, ...item }) => item);
  const stops = items.flatMap(stops_of);
  const covers = items.flatMap((item) => [...item.heads, ...item.countersigned_by]).sort();
  const [approvals, replaced] = approvals_of(known, covers, stops);
  const superseded = [...folded.flatMap((item) => item.superseded), ...replaced].sort();
  return {
    status: status_of(approvals, stops), stops, counts: counts_of(items), covers, approvals,
    entries: known.size, superseded, items,
  };
}

function fold_items(template, known, control_persons) {
  const by_item = new Map();
  for (const [id, payload] of known) {
    if (!by_item.has(payload.item)) by_item.set(payload.item, []);
    by_item.get(payload.item).push({ id, payload });
  }
  return template.zones.flatMap(({ zone, items }, zone_index) => items.map((item, item_index) => ({
    item: item.item, zone, number: `${zone_index + 1}.${item_index + 1}`,
    ...fold_item(item, by_item.get(item.item) ?? [], control_persons),
  })));
}

/* Why this item still stops a release, as [{code, item}]; none when it is done. */
function stops_of({ item, status, countersignature, problems }) {
  const codes = [];
  if (status !== "passed" && status !== "not_applicable") codes.push(status);
  else if (countersignature === "needed") codes.push("to_countersign");
  return [...codes, ...problems].map((code) => ({ code, item }));
}

function counts_of(items) {
  const count = (test) => items.filter(test).length;
  return {
    items: items.length,
    done: count((item) => item.done),
    failed: count((item) => item.status === "failed" || item.status === "corrected"),
    rejected: count((item) => item.status === "rejected"),
    disputed: count((item) => item.status === "disputed"),
    to_countersign: count((item) => item.countersignature === "needed" &&
      (item.status === "passed" || item.status === "not_applicable")),
  };
}

/* The releases and disapprovals that nobody supersedes, and the ids of those that somebody does. */
function approvals_of(known, covers, stops) {
  const made = new Map([...known].filter(([, payload]) => APPROVALS.includes(payload.kind)));
  const replaced = new Set([...made.values()].flatMap((payload) => payload.supersedes).filter((id) => made.has(id)));
  const approvals = [...made.keys()].filter((id) => !replaced.has(id)).sort().map((id) => {
    const { kind, body } = made.get(id);
    const same = body.covers.join() === covers.join();
    return { id, kind, standing: same && (kind === "disapproval" || !stops.length) };
  });
  return [approvals, replaced];
}

function status_of(approvals, stops) {
  const kinds = new Set(approvals.map((approval) => approval.kind));
  if (kinds.size === 1 && kinds.has("disapproval")) return "disapproved";
  if (kinds.size === 1 && approvals.some((approval) => approval.standing)) return "released";
  if (kinds.size) return "contested";
  return stops.length ? "open" : "complete";
}
